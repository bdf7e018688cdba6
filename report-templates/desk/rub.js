// Rubbing a material: what is rubbed is the sample, and the outline grows over what is like it.
import { Newest } from './ask.js';
import { toScreen } from './lie.js';
import { alsoDraw, pen, put } from './marks.js';
import * as doc from './work.js';

const { work } = doc;

const hooks = {};
/** Sets what the page does: begun(), say(words), failed(problem), settled(answer). */
export const setHooks = (given) => Object.assign(hooks, given);

/** The rub under way: its strokes, how far it reaches, on which photo, and the surface it made. */
let rub = null;
/** A stroke is being made. */
let stroking = false;
/** What the stroke before came to has not been answered yet. */
let owed = false;
let last = [0, 0];
const newest = new Newest('rub');

export const TOOLS = ['rub', 'rub-out'];
export const wants = () => TOOLS.includes(pen.tool);
/** Whether there is something that can take in more or less. */
export const isOpen = () => Boolean(rub ?? doc.part()?.rub);

/** Begins another surface with the next stroke. */
export function anew() {
  rub = null;
  stroking = false;
}

/** Goes on with what made the part at hand. */
function reopen() {
  const here = doc.part();
  if (!rub && here?.rub) rub = { ...structuredClone(here.rub), id: work.surface };
}

export function begin(at, out) {
  // To take out, or once the tool was taken up beside a region, means the region at hand.
  if (out || pen.tool === 'rub-out') reopen();
  rub ??= { strokes: [], reach: 1, photo: doc.photo().key, id: null };
  if (rub.photo !== doc.photo().key) anew();
  rub ??= { strokes: [], reach: 1, photo: doc.photo().key, id: null };
  rub.strokes.push({ points: [at], out: out || pen.tool === 'rub-out' });
  stroking = true;
  last = at;
  hooks.begun();
  work.dragging = true;
  doc.begin('rubbed');
}

export function move(at) {
  if (!stroking) return;
  const [a, b] = [toScreen(last), toScreen(at)];
  if (Math.hypot(a[0] - b[0], a[1] - b[1]) < 5) return;
  last = at;
  rub.strokes.at(-1).points.push(at);
  if (long(rub.strokes.at(-1))) ask(false);
}

/** A stroke shorter than this (CSS pixels) is a click. */
const SHORTEST = 14;
const long = ({ points }) => {
  const places = points.map(toScreen);
  return places.reduce((sum, p, i) => sum + (i ? Math.hypot(p[0] - places[i - 1][0], p[1] - places[i - 1][1]) : 0), 0) >= SHORTEST;
};

export function end() {
  if (!stroking) return;
  if (!long(rub.strokes.at(-1))) {
    giveUp();
    hooks.say('rub across it, as with a finger');
    return;
  }
  stroking = false;
  ask(true);
}

/** Gives the last stroke up. */
export function giveUp() {
  if (!stroking) return;
  stroking = false;
  work.dragging = false;
  newest.drop();
  rub.strokes.pop();
  doc.giveUp();
  if (!work.surfaces.some((s) => s.id === rub.id)) rub.id = null;
  if (!rub.strokes.length) rub = null;
  // The stroke before stays, though its answer went with this one's.
  if (owed && rub) {
    doc.begin('rubbed');
    ask(true);
  }
}

/** A stroke by keys: Enter begins it, the arrow keys draw it, Enter ends it. */
export function key(at) {
  if (stroking) end();
  else {
    begin(at, false);
    hooks.say('rubbing: draw with the arrow keys, Enter ends it');
  }
}

export function step(at) {
  if (stroking) {
    move(at);
    work.dragging = true;
  }
}

export function escape() {
  if (!stroking) {
    rub = null;
    return false;
  }
  giveUp();
  return true;
}

/** Takes in more, or less, of what is like what was rubbed. */
export function reachOn(by) {
  reopen();
  if (!rub) {
    hooks.say('rub something first');
    return;
  }
  rub.reach = Math.max(0.2, Math.min(12, rub.reach * by));
  doc.begin(by > 1 ? 'more taken in' : 'less taken in');
  ask(true);
}

function ask(settles) {
  const asked = rub;
  const begun = performance.now();
  if (settles) owed = true;
  const what = { photo: rub.photo, strokes: rub.strokes, reach: rub.reach };
  newest.put(what, (answer, problem) => {
    if (settles) owed = false;
    if (asked === rub && answer) take(answer);
    document.dispatchEvent(new CustomEvent('rubbed', { detail: performance.now() - begun }));
    if (!settles || stroking) return;
    work.dragging = false;
    doc.end();
    if (problem) hooks.failed(problem);
    else hooks.settled(answer);
    doc.tell('all');
  });
}

/** Puts an answer in the place of what the rub had before. */
function take(answer) {
  let surface = work.surfaces.find((s) => s.id === rub.id);
  if (!surface) {
    surface = doc.addSurface(answer.outline, answer.leave_out);
    rub.id = surface.id;
  }
  const part = surface.parts.find((p) => p.photo === rub.photo);
  if (!part) return;
  part.outline = answer.outline;
  part.leave_out = answer.leave_out.map((outline) => ({ was: null, outline }));
  part.rub = { strokes: structuredClone(rub.strokes), reach: rub.reach, photo: rub.photo };
  doc.choose(surface);
  doc.tell(stroking ? 'drawn' : 'hand');
}

alsoDraw(() => {
  const strokes = wants() ? rub?.strokes : null;
  if (!strokes || rub.photo !== doc.photo()?.key) return;
  for (const { points, out } of strokes) {
    const d = `M${points.map((p) => toScreen(p).map((v) => v.toFixed(1)).join(' ')).join('L')}${points.length < 2 ? 'h0.1' : ''}`;
    put('path', { d, class: out ? 'rub out' : 'rub', 'stroke-width': 14 });
  }
});
