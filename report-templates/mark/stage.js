// The photo: how it lies in its window, what is drawn on it, mouse, finger and keys.
import { ask, picture } from './ask.js';
import { area, box, clamped, crossing, halfway, inside, moved } from './shapes.js';
import * as doc from './work.js';

const { work } = doc;
const stage = document.getElementById('stage');
const over = document.getElementById('over');
const view = document.getElementById('view');
const cut = document.getElementById('cut');
const SVG = 'http://www.w3.org/2000/svg';

/** How the photo lies: CSS pixels a photo pixel, and where its upper left corner is. */
const lie = { scale: 1, x: 0, y: 0, fit: true };
/** What is being drawn, and where the pointer and the crosshair are. */
export const pen = { tool: 'move', draft: [], pointer: null, cross: [0.5, 0.5], byKey: false, suggestions: null, near: -1, chart: [] };

/** Tools that draw outlines, and how their lines look. */
const DRAWS = ['outline', 'leave-out', 'band', 'place'];
const dashOf = (tool) => ({ 'leave-out': 'dash', band: 'dots', place: 'dots' }[tool] ?? '');

const hooks = {};
/** Sets what the page does: pointed(at), drew(points), picked(at), accepted(suggestion), charted(corners), say(words), tool(). */
export const setHooks = (given) => Object.assign(hooks, given);

const size = () => [stage.clientWidth, stage.clientHeight];
const known = () => doc.photo()?.width > 0;
const toScreen = ([x, y]) => [lie.x + x * doc.photo().width * lie.scale, lie.y + y * doc.photo().height * lie.scale];
const toPhoto = ([x, y]) => [(x - lie.x) / (doc.photo().width * lie.scale), (y - lie.y) / (doc.photo().height * lie.scale)];

// How the photo lies.

/** Room left about the photo, so that corners at its edge can be taken hold of. */
const MARGIN = 14;

function fitScale() {
  const [w, h] = size();
  return Math.min((w - 2 * MARGIN) / doc.photo().width, (h - 2 * MARGIN) / doc.photo().height);
}

export function fit() {
  if (!known()) return;
  lie.fit = true;
  lie.scale = fitScale();
  settle();
}

function settle() {
  const [w, h] = size();
  const [pw, ph] = [doc.photo().width * lie.scale, doc.photo().height * lie.scale];
  const held = (at, length, window) => (length <= window ? (window - length) / 2 : Math.min(window * 0.5, Math.max(window * 0.5 - length, at)));
  lie.x = held(lie.x, pw, w);
  lie.y = held(lie.y, ph, h);
  redraw();
  sharpen();
}

/** Zooms by a factor about a place of the window; `to` sets the scale itself. */
export function zoom(factor, about = null, to = null) {
  if (!known()) return;
  const [w, h] = size();
  const place = about ?? (pen.byKey ? toScreen(pen.cross) : [w / 2, h / 2]);
  const at = toPhoto(place);
  const least = Math.min(fitScale(), 1 / window.devicePixelRatio);
  lie.scale = Math.min(16, Math.max(least, to ?? lie.scale * factor));
  lie.fit = Math.abs(lie.scale / fitScale() - 1) < 1e-4;
  lie.x = place[0] - at[0] * doc.photo().width * lie.scale;
  lie.y = place[1] - at[1] * doc.photo().height * lie.scale;
  settle();
}

export const truePixels = () => zoom(1, null, 1 / window.devicePixelRatio);
export const zoomWords = () => (known() ? `${Math.round(100 * lie.scale * window.devicePixelRatio)} %` : '');

function pan(dx, dy) {
  lie.x += dx;
  lie.y += dy;
  settle();
}

/** Moves the photo so that a point is seen. */
function show(at) {
  const [x, y] = toScreen(at);
  const [w, h] = size();
  const margin = 40;
  const step = (v, most) => (v < margin ? margin - v : v > most - margin ? most - margin - v : 0);
  const [dx, dy] = [step(x, w), step(y, h)];
  if (dx || dy) pan(dx, dy);
}

function place(img, [l, t, r, b]) {
  const [x, y] = toScreen([l, t]);
  const [x2, y2] = toScreen([r, b]);
  Object.assign(img.style, { left: `${x}px`, top: `${y}px`, width: `${x2 - x}px`, height: `${y2 - y}px` });
  img.classList.toggle('pixels', lie.scale * window.devicePixelRatio >= 2);
}

let sharpening = 0;
let cutSpan = null;
/** Fetches what the window shows as fine as the photo is, once the photo lies still. */
function sharpen() {
  clearTimeout(sharpening);
  const photo = doc.photo();
  const ratio = window.devicePixelRatio;
  if (!view.naturalWidth || lie.scale * ratio * photo.width <= view.naturalWidth * 1.05) {
    cut.hidden = true;
    cutSpan = null;
    return;
  }
  sharpening = setTimeout(() => {
    const [w, h] = size();
    const [l, t] = clamped(toPhoto([0, 0]));
    const [r, b] = clamped(toPhoto([w, h]));
    // Whole pixels, so that what is cut lies exactly on the photo.
    const span = [Math.floor(l * photo.width) / photo.width, Math.floor(t * photo.height) / photo.height,
      Math.ceil(r * photo.width) / photo.width, Math.ceil(b * photo.height) / photo.height];
    const own = Math.max((span[2] - span[0]) * photo.width, (span[3] - span[1]) * photo.height);
    const side = Math.max(16, Math.min(4096, Math.ceil(own), Math.ceil(own * lie.scale * ratio)));
    const next = new Image();
    next.onload = () => {
      if (doc.photo() !== photo) return;
      cut.src = next.src;
      cutSpan = span;
      cut.hidden = false;
      place(cut, span);
    };
    next.src = picture('cut', { photo: photo.key, l: span[0], t: span[1], r: span[2], b: span[3], side, v: photo.version });
  }, 120);
}

let shown = '';
/** Shows the photo at hand; asks the program for it when it is another, or in another light. */
export async function showPhoto() {
  const photo = doc.photo();
  if (!photo) return;
  const wanted = `${photo.key}\n${photo.version}`;
  if (wanted === shown) return;
  const another = !shown.startsWith(`${photo.key}\n`);
  shown = wanted;
  const loading = document.getElementById('loading');
  if (another) {
    Object.assign(pen, { suggestions: null, near: -1, draft: [], chart: [] });
    view.hidden = true;
    cut.hidden = true;
    loading.hidden = false;
    redraw();
  }
  try {
    photo.known = doc.knownText(photo.key);
    const about = await ask('light', { photo: photo.key, light: photo.light, known: doc.knownIn(photo.key) });
    Object.assign(photo, { width: about.width, height: about.height, about });
  } catch (problem) {
    if (shown === wanted) {
      loading.hidden = true;
      hooks.failed(problem);
    }
    return;
  }
  if (shown !== wanted) return;
  const next = new Image();
  next.onload = () => {
    if (shown !== wanted) return;
    view.src = next.src;
    view.hidden = false;
    loading.hidden = true;
    if (another) {
      fit();
      pen.cross = [0.5, 0.5];
    } else settle();
    doc.tell('photo');
  };
  next.src = picture('view', { photo: photo.key, v: photo.version });
}

// What is drawn.

let asked = false;
export function redraw() {
  if (asked) return;
  asked = true;
  requestAnimationFrame(() => {
    asked = false;
    draw();
  });
}

function put(name, attributes, text = null) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  if (text !== null) element.textContent = text;
  over.append(element);
  return element;
}

function line(points, { closed = true, width = 1.5, dash = '', fill = false, bad = false }) {
  const d = `M${points.map((p) => toScreen(p).map((v) => v.toFixed(1)).join(' ')).join('L')}${closed ? 'Z' : ''}`;
  if (fill) put('path', { d, class: 'near' });
  put('path', { d, class: `edge ${dash === 'thin' ? 'thin' : ''}`, 'stroke-width': width + (dash === 'thin' ? 1.5 : 2.5) });
  put('path', { d, class: `ink ${dash} ${bad ? 'bad' : ''}`, 'stroke-width': width });
}

/** From so many corners on they are drawn small, or they would hide the outline and what it follows. */
const MANY_CORNERS = 30;

function corners(points, chosen) {
  const many = points.length > MANY_CORNERS;
  points.forEach((p, i) => {
    const [x, y] = toScreen(p);
    put('circle', { cx: x, cy: y, r: i === chosen ? 8 : many ? 3 : 6, class: `corner ${i === chosen ? 'chosen' : ''}` });
  });
  if (many) return;
  points.forEach((p, i) => {
    const [[ax, ay], [bx, by]] = [toScreen(p), toScreen(points[(i + 1) % points.length])];
    if (Math.hypot(bx - ax, by - ay) < 44) return;
    put('circle', { cx: (ax + bx) / 2, cy: (ay + by) / 2, r: 4, class: 'half' });
  });
}

/** Where words stand already, so that no two lie on each other. */
let labels = [];

function label(points, words) {
  const left = points.reduce((best, p) => (p[1] < best[1] || (p[1] === best[1] && p[0] < best[0]) ? p : best));
  const [x, y] = toScreen(left);
  const [w] = size();
  const wide = 8 * words.length;
  const at = [Math.max(6, Math.min(w - wide, x)), Math.max(16, y - 8)];
  const taken = (l) => Math.abs(l.y - at[1]) < 15 && l.x < at[0] + wide && at[0] < l.x + l.wide;
  while (labels.some(taken)) at[1] += 16;
  labels.push({ x: at[0], y: at[1], wide });
  put('text', { x: at[0], y: at[1] }, words);
}

function drawSurface(surface, key, chosen) {
  surface.parts.forEach((part, at) => {
    if (part.photo !== key) return;
    const here = chosen && at === work.part;
    line(part.outline, { width: here ? 2.5 : 1.25, bad: here && crossing(part.outline) !== null });
    part.leave_out.forEach((hole, i) => {
      const held = here && i === work.shape;
      line(hole.outline, { width: held ? 2.5 : 1.25, dash: 'dash', bad: held && crossing(hole.outline) !== null });
    });
    label(part.outline, surface.name);
    if (here && pen.tool === 'move') corners(doc.outline() ?? [], work.corner);
  });
  if (chosen && surface.parts[0]?.photo === key) {
    for (const zone of surface.zones) {
      const held = zone === doc.shape();
      line(zone.outline, { width: held ? 2.5 : 1, dash: 'dots', bad: held && crossing(zone.outline) !== null });
      label(zone.outline, zone.name);
    }
  }
}

function drawLight(light) {
  const words = light.neutral?.reflectance ? 'grey card' : 'neutral';
  if (light.neutral?.region) {
    line(light.neutral.region, { width: 1.5, dash: 'dots' });
    label(light.neutral.region, words);
  } else if (light.neutral?.at) {
    const [x, y] = light.neutral.at;
    const reach = box([x - 0.01, y - 0.01], [x + 0.01, y + 0.01]);
    line(reach, { width: 1.5 });
    label(reach, words);
  }
  if (light.chart) {
    line(light.chart, { width: 1.5 });
    ['1', '6', '24', '19'].forEach((n, i) => {
      const [x, y] = toScreen(light.chart[i]);
      put('text', { x: x + 6, y: y - 6 }, n);
    });
  }
}

function drawDraft() {
  const tip = pen.byKey ? pen.cross : pen.pointer;
  const points = pen.tool === 'chart' ? pen.chart : pen.draft;
  if (points.length > 0) {
    line(tip ? [...points, tip] : points, { closed: false, width: 2.5, dash: dashOf(pen.tool) });
    points.forEach((p, i) => {
      const [x, y] = toScreen(p);
      put('circle', { cx: x, cy: y, r: i === 0 ? 8 : 5, class: 'corner' });
    });
  }
  if (pen.rubber) line(pen.rubber, { width: 2.5, dash: dashOf(pen.tool) });
}

function drawCross() {
  if (!pen.byKey || document.activeElement !== stage || (pen.tool === 'move' && work.corner !== null)) return;
  const [x, y] = toScreen(pen.cross);
  const d = `M${x - 16} ${y}H${x - 4}M${x + 4} ${y}H${x + 16}M${x} ${y - 16}V${y - 4}M${x} ${y + 4}V${y + 16}`;
  put('path', { d, class: 'edge', 'stroke-width': 5 });
  put('path', { d, class: 'ink', 'stroke-width': 2 });
}

function draw() {
  over.replaceChildren();
  labels = [];
  hooks.drawn();
  if (!known() || view.hidden) return;
  place(view, [0, 0, 1, 1]);
  if (cutSpan) place(cut, cutSpan);
  const photo = doc.photo();
  if (pen.tool === 'suggest' && pen.suggestions) {
    pen.suggestions.forEach((s, i) => {
      const near_ = i === pen.near;
      line(s.outline, { width: near_ ? 2.5 : 1, dash: near_ ? '' : 'thin', fill: near_ });
      s.leave_out.forEach((hole) => line(hole, { width: near_ ? 1.5 : 1, dash: near_ ? 'dash' : 'thin' }));
    });
  } else {
    const chosen = doc.current();
    for (const surface of work.surfaces) if (surface !== chosen) drawSurface(surface, photo.key, false);
    if (chosen) drawSurface(chosen, photo.key, true);
  }
  drawLight(photo.light);
  drawDraft();
  drawCross();
}

// Mouse and finger.

const reach = (event) => (event.pointerType === 'mouse' ? 11 : 24);
const near = (a, b, within) => Math.hypot(a[0] - b[0], a[1] - b[1]) <= within;
const placeOf = (event) => {
  const r = stage.getBoundingClientRect();
  return [event.clientX - r.left, event.clientY - r.top];
};

/** What of the shape at hand lies under a place: a corner, or the middle of a side. */
function handleAt(at, within) {
  const points = doc.outline();
  if (!points) return null;
  const corner = points.findIndex((p) => near(toScreen(p), at, within));
  if (corner >= 0) return { corner };
  const side = points.findIndex((p, i) => near(toScreen(halfway(points, i)), at, within)
    && !near(toScreen(p), toScreen(points[(i + 1) % points.length]), 44));
  return side >= 0 ? { side } : null;
}

/** The smallest shape under a point: leave-outs and zones before outlines. Zones are seen of the surface at hand alone. */
export function shapeAt(at) {
  const found = [];
  const key = doc.photo().key;
  work.surfaces.forEach((surface) => surface.parts.forEach((part, n) => {
    if (part.photo !== key) return;
    doc.shapes(surface, n).forEach((one, shape) => {
      const seen = !one.kind || surface.id === work.surface;
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
  if (fingers.size === 2) {
    if (drag?.changing) {
      work.dragging = false;
      doc.giveUp();
    }
    pen.rubber = null;
    drag = { kind: 'pinch', from: pinch(), scale: lie.scale };
    return;
  }
  drag = { kind: 'wait', at, from: at, event, started: clamped(toPhoto(at)) };
  if (event.button === 1 || event.button === 2) drag.kind = 'pan';
  else if (pen.tool === 'move') grab(event, at);
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
    zoom(1, now.middle, (drag.scale * now.apart) / Math.max(1, drag.from.apart));
    const last = drag.last ?? drag.from.middle;
    pan(now.middle[0] - last[0], now.middle[1] - last[1]);
    drag.last = now.middle;
    return;
  }
  const far = !near(at, drag.from, event.pointerType === 'mouse' ? 4 : 9);
  if (!far && !drag.far) return;
  drag.far = true;
  if (drag.kind === 'pan') {
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
  if (held.changing) {
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
  if (DRAWS.includes(pen.tool)) {
    const last = pen.draft.at(-1);
    if (!last || !near(toScreen(last), toScreen(at), 2)) pen.draft.push(at);
    hooks.say(`corner ${pen.draft.length} set`);
  } else if (pen.tool === 'card' || pen.tool === 'neutral') hooks.picked(at);
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

/** The next shape of the surface: outline, leave-outs in turn. */
export function nextShape() {
  const here = doc.part();
  if (!here) return;
  const shape = work.shape + 1 < doc.shapes(doc.current(), work.part).length ? work.shape + 1 : -1;
  doc.choose(doc.current(), shape, null, work.part);
  hooks.say(doc.shapeWords());
  doc.tell('hand');
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
