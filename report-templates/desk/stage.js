// Mouse, finger and keys on the photo.
import { fit, known, lie, pan, settle, show, toPhoto, toScreen, zoom } from './lie.js';
import { DRAWS, pen, redraw } from './marks.js';
import { area, box, clamped, halfway, inside, moved } from './shapes.js';
import * as doc from './work.js';

const { work } = doc;
const stage = document.getElementById('stage');

const hooks = {};
/** Sets what the page does: pointed(at), drew(points), picked(at), accepted(suggestion), charted(corners), say(words), tool(), and rub: begin, move, end, giveUp, key. */
export const setHooks = (given) => Object.assign(hooks, given);

// Mouse and finger.

const reach = (event) => (event.pointerType === 'mouse' ? 11 : 24);
const near = (a, b, within) => Math.hypot(a[0] - b[0], a[1] - b[1]) <= within;
const placeOf = (event) => {
  const r = stage.getBoundingClientRect();
  return [event.clientX - r.left, event.clientY - r.top];
};

/** The place nearest to another, if one is within reach: its number, or -1. */
function nearest(places, at, within) {
  const away = places.map((p) => (p ? Math.hypot(p[0] - at[0], p[1] - at[1]) : Infinity));
  const least = Math.min(...away);
  return least <= within ? away.indexOf(least) : -1;
}

/** What of the shape at hand lies under a place: a corner, or the middle of a side. */
function handleAt(at, reached) {
  const points = doc.outline();
  if (!points) return null;
  const corners = points.map(toScreen);
  // A small shape has a middle too, by which it is moved.
  const across = [0, 1].map((axis) => Math.max(...corners.map((p) => p[axis])) - Math.min(...corners.map((p) => p[axis])));
  const within = inside(toPhoto(at), points) ? Math.min(reached, Math.max(6, Math.min(...across) / 3)) : reached;
  const corner = nearest(corners, at, within);
  if (corner >= 0) return { corner };
  const sides = points.map((p, i) => (near(corners[i], corners[(i + 1) % corners.length], 44) ? null : toScreen(halfway(points, i))));
  const side = nearest(sides, at, within);
  return side >= 0 ? { side } : null;
}

/** The smallest shape under a point: leave-outs and zones before outlines. Zones are seen of the surface at hand alone. */
export function shapeAt(at) {
  const found = [];
  const key = doc.photo().key;
  work.surfaces.forEach((surface) => surface.parts.forEach((part, n) => {
    if (part.photo !== key) return;
    doc.shapes(surface, n).forEach((one, shape) => {
      const seen = part.leave_out.includes(one) || surface.id === work.surface;
      if (seen && inside(at, one.outline)) found.push({ surface, part: n, shape, size: area(one.outline) });
    });
    if (inside(at, part.outline)) found.push({ surface, part: n, shape: -1, size: area(part.outline) });
  }));
  found.sort((a, b) => a.size - b.size);
  return found[0] ?? null;
}

export function suggestionAt(at) {
  let best = -1;
  (pen.suggestions ?? []).forEach((s, i) => {
    if (inside(at, s.outline) && !s.leave_out.some((hole) => inside(at, hole)) && (best < 0 || s.share < pen.suggestions[best].share)) best = i;
  });
  return best;
}

let drag = null;
const fingers = new Map();

stage.addEventListener('pointerdown', (event) => {
  if (!known()) return;
  pen.byKey = false;
  stage.focus({ preventScroll: true });
  const at = placeOf(event);
  fingers.set(event.pointerId, at);
  stage.setPointerCapture(event.pointerId);
  // A finger does not point before it presses.
  if (event.pointerType !== 'mouse' && fingers.size === 1) hooks.pointed(clamped(toPhoto(at)));
  if (fingers.size === 2) {
    if (drag?.changing) {
      work.dragging = false;
      doc.giveUp();
    } else if (drag?.kind === 'rub') hooks.rub.giveUp();
    pen.rubber = null;
    const from = pinch();
    drag = { kind: 'pinch', from, scale: lie.scale, held: toPhoto(from.middle) };
    return;
  }
  drag = { kind: 'wait', at, from: at, event, started: clamped(toPhoto(at)) };
  if (event.button === 1 || event.button === 2) drag.kind = 'pan';
  else if (pen.tool === 'move') grab(event, at);
  else if (hooks.rub.wants()) {
    drag.kind = 'rub';
    hooks.rub.begin(drag.started, event.shiftKey);
  }
  event.preventDefault();
});

const pinch = () => {
  const [a, b] = [...fingers.values()];
  return { middle: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], apart: Math.hypot(a[0] - b[0], a[1] - b[1]) };
};

function grab(event, at) {
  const handle = handleAt(at, reach(event));
  if (handle?.corner !== undefined) {
    work.corner = handle.corner;
    doc.begin('corner moved');
    Object.assign(drag, { kind: 'corner', changing: true });
    doc.tell('hand');
    return;
  }
  if (handle?.side !== undefined) {
    doc.begin('corner added');
    const points = doc.outline();
    points.splice(handle.side + 1, 0, halfway(points, handle.side));
    work.corner = handle.side + 1;
    Object.assign(drag, { kind: 'corner', changing: true });
    doc.tell('hand');
    return;
  }
  const found = shapeAt(drag.started);
  if (!found) {
    drag.kind = 'pan';
    return;
  }
  const held = found.surface.id === work.surface && found.shape === work.shape && found.part === work.part;
  doc.choose(found.surface, found.shape, null, found.part);
  doc.tell('hand');
  // Only what was at hand already moves with the pointer, so that choosing moves nothing.
  if (held) {
    doc.begin('shape moved');
    Object.assign(drag, { kind: 'shape', changing: true, points: doc.outline().map((p) => [...p]) });
  } else drag.kind = 'pan';
}

stage.addEventListener('pointermove', (event) => {
  if (!known()) return;
  const at = placeOf(event);
  if (fingers.has(event.pointerId)) fingers.set(event.pointerId, at);
  pen.byKey = false;
  pen.pointer = clamped(toPhoto(at));
  hooks.pointed(pen.pointer);
  if (!drag) {
    if (pen.tool === 'suggest') pen.near = suggestionAt(pen.pointer);
    if (pen.draft.length || pen.chart.length || pen.tool === 'suggest') redraw();
    return;
  }
  if (drag.kind === 'pinch' && fingers.size === 2) {
    const now = pinch();
    // What lay between the fingers stays between them.
    zoom(1, now.middle, (drag.scale * now.apart) / Math.max(1, drag.from.apart));
    const held = toScreen(drag.held);
    pan(now.middle[0] - held[0], now.middle[1] - held[1]);
    return;
  }
  const far = !near(at, drag.from, event.pointerType === 'mouse' ? 4 : 9);
  if (!far && !drag.far) return;
  drag.far = true;
  if (drag.kind === 'rub') hooks.rub.move(pen.pointer);
  else if (drag.kind === 'pan') {
    stage.classList.add('panning');
    pan(at[0] - drag.at[0], at[1] - drag.at[1]);
    drag.at = at;
  } else if (drag.kind === 'corner') {
    work.dragging = true;
    doc.outline()[work.corner] = pen.pointer;
    doc.tell('drawn');
  } else if (drag.kind === 'shape') {
    work.dragging = true;
    const step = [pen.pointer[0] - drag.started[0], pen.pointer[1] - drag.started[1]];
    const next = moved(drag.points, step);
    const points = doc.outline();
    next.forEach((p, i) => { points[i] = p; });
    doc.tell('drawn');
  } else if (drag.kind === 'wait' && DRAWS.includes(pen.tool) && pen.draft.length === 0) {
    pen.rubber = box(drag.started, pen.pointer);
  }
  redraw();
});

function release(event, lost) {
  fingers.delete(event.pointerId);
  stage.classList.remove('panning');
  const held = drag;
  if (!held) return;
  if (held.kind === 'pinch') {
    if (fingers.size === 0) drag = null;
    return;
  }
  drag = null;
  const rubber = pen.rubber;
  pen.rubber = null;
  if (held.kind === 'rub') {
    if (lost) hooks.rub.giveUp();
    else hooks.rub.end();
  } else if (held.changing) {
    work.dragging = false;
    if (lost) doc.giveUp();
    else {
      doc.end();
      doc.tell('drawn');
    }
  } else if (!lost && rubber) {
    if (area(rubber) > 1e-5) hooks.drew(rubber);
  } else if (!lost && !held.far) click(held.started, event);
  redraw();
}
stage.addEventListener('pointerup', (event) => release(event, false));
stage.addEventListener('pointercancel', (event) => release(event, true));
stage.addEventListener('contextmenu', (event) => event.preventDefault());
stage.addEventListener('wheel', (event) => {
  event.preventDefault();
  zoom(1.0015 ** -Math.max(-300, Math.min(300, event.deltaY)), placeOf(event));
}, { passive: false });

function click(at, event) {
  if (pen.tool === 'move') {
    if (!shapeAt(at)) {
      doc.choose(null);
      doc.tell('hand');
    }
    return;
  }
  const closing = pen.draft.length >= 3 && near(toScreen(pen.draft[0]), toScreen(at), reach(event));
  if (closing) close();
  else act(at);
}

/** What the tool does at a point: by a click, a tap or Enter. */
function act(at) {
  if (hooks.rub.wants()) {
    hooks.rub.key(at);
    redraw();
    return;
  }
  if (DRAWS.includes(pen.tool)) {
    const last = pen.draft.at(-1);
    if (!last || !near(toScreen(last), toScreen(at), 2)) pen.draft.push(at);
    hooks.say(`corner ${pen.draft.length} set`);
  } else if (pen.tool === 'card' || pen.tool === 'neutral' || pen.tool === 'sky') hooks.picked(at);
  else if (pen.tool === 'chart') {
    pen.chart.push(at);
    if (pen.chart.length === 4) hooks.charted(pen.chart.splice(0));
  } else if (pen.tool === 'suggest') {
    const found = suggestionAt(at);
    if (found >= 0) hooks.accepted(pen.suggestions[found]);
  }
  hooks.tool();
  redraw();
}

/** Closes what is being drawn. */
export function close() {
  if (pen.draft.length < 3) {
    hooks.say('an outline needs three corners or more');
    return;
  }
  hooks.drew(pen.draft.splice(0));
}

export function takeBack() {
  (pen.tool === 'chart' ? pen.chart : pen.draft).pop();
  hooks.tool();
  redraw();
}

export function setTool(tool) {
  Object.assign(pen, { tool, draft: [], chart: [], near: -1, rubber: null });
  stage.classList.toggle('moving', tool === 'move');
  hooks.tool();
  redraw();
}

// Keys.

const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

let repeats = 0;
/** Moves the corner, the shape (with Alt) or the crosshair by a step: 8 pixels of the window, one with Shift; faster the longer a key is held. */
function step([dx, dy], { shiftKey, altKey, repeat }) {
  repeats = repeat ? repeats + 1 : 0;
  const length = shiftKey ? 1 : Math.min(32, 8 + repeats);
  const by = [(dx * length) / (doc.photo().width * lie.scale), (dy * length) / (doc.photo().height * lie.scale)];
  pen.byKey = true;
  const points = pen.tool === 'move' ? doc.outline() : null;
  // Steps of a key that is held follow each other like those of a drag.
  work.dragging = true;
  if (points && altKey) {
    doc.change('shape moved', () => moved(points, by).forEach((p, i) => { points[i] = p; }));
    [pen.cross] = points;
  } else if (points && work.corner !== null) {
    doc.change('corner moved', () => {
      points[work.corner] = clamped([points[work.corner][0] + by[0], points[work.corner][1] + by[1]]);
    });
    pen.cross = points[work.corner];
  } else {
    pen.cross = clamped([pen.cross[0] + by[0], pen.cross[1] + by[1]]);
  }
  work.dragging = false;
  if (pen.tool === 'suggest') pen.near = suggestionAt(pen.cross);
  show(pen.cross);
  hooks.pointed(pen.cross);
  hooks.rub.step(pen.cross);
  redraw();
}

/** Chooses the next or the previous corner of the shape at hand. */
export function turn(by) {
  pen.byKey = true;
  if (pen.tool === 'suggest' && pen.suggestions?.length) {
    pen.near = (pen.near + by + pen.suggestions.length) % pen.suggestions.length;
    const s = pen.suggestions[pen.near];
    hooks.say(`${s.name}, ${Math.round(100 * s.share)} % of the photo`);
    redraw();
    return;
  }
  const points = doc.outline();
  if (!points) return;
  const n = points.length;
  work.corner = work.corner === null ? (by > 0 ? 0 : n - 1) : (work.corner + by + n) % n;
  pen.cross = [...points[work.corner]];
  show(pen.cross);
  hooks.say(`corner ${work.corner + 1} of ${n}`);
  hooks.pointed(pen.cross);
  doc.tell('hand');
}

/** Takes up a shape of the surface at hand: -1 is its outline. */
export function takeUp(shape) {
  doc.choose(doc.current(), shape, null, work.part);
  show(doc.outline()[0]);
  hooks.say(doc.shapeWords());
  doc.tell('hand');
}

/** The next shape of the surface: outline, leave-outs in turn. */
export function nextShape() {
  if (!doc.part()) return;
  takeUp(work.shape + 1 < doc.shapes(doc.current(), work.part).length ? work.shape + 1 : -1);
}

export function insertCorner() {
  const points = doc.outline();
  if (!points) return;
  const after = work.corner ?? points.length - 1;
  doc.change('corner added', () => {
    points.splice(after + 1, 0, halfway(points, after));
    work.corner = after + 1;
  });
  pen.cross = [...points[work.corner]];
}

export function removeCorner() {
  const points = doc.outline();
  if (!points || work.corner === null || points.length <= 3) return false;
  doc.change('corner taken away', () => {
    points.splice(work.corner, 1);
    work.corner = Math.min(work.corner, points.length - 1);
  });
  return true;
}

/** Takes up the shape under the crosshair. */
function pick() {
  const found = shapeAt(pen.cross);
  doc.choose(found?.surface ?? null, found?.shape ?? -1, null, found?.part ?? null);
  hooks.say(found ? `${found.surface.name}, ${doc.shapeWords().toLowerCase()}` : 'nothing there');
  doc.tell('hand');
}

export function stageKey(event) {
  if (!known()) return false;
  const way = STEPS[event.key];
  if (way) {
    step(way, event);
    return true;
  }
  switch (event.key) {
    case 'Enter':
      pen.byKey = true;
      if (pen.tool === 'move') pick();
      else if (pen.tool === 'suggest' && pen.near >= 0) hooks.accepted(pen.suggestions[pen.near]);
      else if (pen.draft.length >= 3 && near(toScreen(pen.draft[0]), toScreen(pen.cross), 6)) close();
      else act([...pen.cross]);
      return true;
    case 'Backspace':
      if (pen.draft.length || pen.chart.length) {
        takeBack();
        return true;
      }
      return false;
    default:
      return false;
  }
}

export function escape() {
  if (drag?.changing) {
    drag = null;
    work.dragging = false;
    doc.giveUp();
  } else if (pen.draft.length || pen.chart.length || pen.rubber) {
    Object.assign(pen, { draft: [], chart: [], rubber: null });
  } else if (work.corner !== null) {
    work.corner = null;
    doc.tell('hand');
  } else if (hooks.rub.escape()) {
    // What was being rubbed is given up.
  } else setTool('move');
  hooks.tool();
  redraw();
}

stage.addEventListener('focus', redraw);
stage.addEventListener('blur', redraw);
new ResizeObserver(() => {
  if (!known()) return;
  if (lie.fit) fit();
  else settle();
}).observe(stage);
