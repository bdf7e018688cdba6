// What is drawn on the photo: outlines, corners, names, what is being drawn, the crosshair.
import { isShown, placeAll, size, toScreen } from './lie.js';
import { box, crossing } from './shapes.js';
import * as doc from './work.js';

const { work } = doc;
const stage = document.getElementById('stage');
const over = document.getElementById('over');
const SVG = 'http://www.w3.org/2000/svg';

/** What is being drawn, and where the pointer and the crosshair are. */
export const pen = { tool: 'move', draft: [], pointer: null, cross: [0.5, 0.5], byKey: false, suggestions: null, near: -1, chart: [] };

/** Tools that draw outlines, and how their lines look. */
export const DRAWS = ['outline', 'leave-out', 'band', 'place'];
const dashOf = (tool) => ({ 'leave-out': 'dash', band: 'dots', place: 'dots' }[tool] ?? '');

const listeners = [];
/** Calls back after everything was drawn. */
export const onDrawn = (listener) => listeners.push(listener);
/** What else is drawn: called with what puts shapes on the photo. */
const more = [];
export const alsoDraw = (draws) => more.push(draws);

let asked = false;
export function redraw() {
  if (asked) return;
  asked = true;
  requestAnimationFrame(() => {
    asked = false;
    draw();
  });
}

export function put(name, attributes, text = null) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  if (text !== null) element.textContent = text;
  over.append(element);
  return element;
}

export function line(points, { closed = true, width = 1.5, dash = '', fill = false, bad = false }) {
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
      for (const hole of zone.leave_out) {
        const on = hole === doc.shape();
        line(hole.outline, { width: on ? 2.5 : 1.25, dash: 'dash', bad: on && crossing(hole.outline) !== null });
      }
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
  if (light.sky) {
    line(light.sky, { width: 1.5, dash: 'dots' });
    label(light.sky, 'sky');
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
  if (isShown()) {
    placeAll();
    drawPhoto();
  }
  listeners.forEach((listener) => listener());
}

function drawPhoto() {
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
  more.forEach((draws) => draws());
  drawLight(photo.light);
  drawDraft();
  drawCross();
}
