// How the photo lies in its window: scale and place, the sharp part of it, and the photo itself fetched.
import { ask, picture, preview } from './ask.js';
import { clamped } from './shapes.js';
import * as doc from './work.js';

const stage = document.getElementById('stage');
const view = document.getElementById('view');
const cut = document.getElementById('cut');

/** CSS pixels a photo pixel, and where its upper left corner is. */
export const lie = { scale: 1, x: 0, y: 0, fit: true };

const hooks = {};
/** Sets what the page does: redraw(), another() (another photo is shown), failed(problem), about() (where a key zooms about). */
export const setHooks = (given) => Object.assign(hooks, given);

export const size = () => [stage.clientWidth, stage.clientHeight];
export const known = () => doc.photo()?.width > 0;
export const toScreen = ([x, y]) => [lie.x + x * doc.photo().width * lie.scale, lie.y + y * doc.photo().height * lie.scale];
export const toPhoto = ([x, y]) => [(x - lie.x) / (doc.photo().width * lie.scale), (y - lie.y) / (doc.photo().height * lie.scale)];

/** Room left about the photo, so that corners at its edge can be taken hold of. */
const MARGIN = 6;

/** Height of the line that says what to do, where it lies over the photo's lower edge. */
const LINE = 26;
const wide = window.matchMedia('(min-width: 60.01rem)');
/** Room left for it: where a corner of what is at hand would lie below it. */
let room = 0;
/** Height of what the photo fits into. */
const free = () => size()[1] - room;

function fitScale() {
  return Math.min((size()[0] - 2 * MARGIN) / doc.photo().width, (free() - 2 * MARGIN) / doc.photo().height);
}

export function fit() {
  if (!known()) return;
  lie.fit = true;
  for (const left of [0, LINE]) {
    room = left;
    lie.scale = fitScale();
    lie.y = (free() - doc.photo().height * lie.scale) / 2;
    if (!wide.matches || !doc.outline()?.some((at) => toScreen(at)[1] > size()[1] - LINE - MARGIN)) break;
  }
  settle();
}

export function settle() {
  if (!known()) return;
  const [w, h] = size();
  const [pw, ph] = [doc.photo().width * lie.scale, doc.photo().height * lie.scale];
  const held = (at, length, window) => (length <= window ? (window - length) / 2 : Math.min(window * 0.5, Math.max(window * 0.5 - length, at)));
  lie.x = held(lie.x, pw, w);
  lie.y = ph <= free() ? (free() - ph) / 2 : held(lie.y, ph, h);
  hooks.redraw();
  sharpen();
}

/** Zooms by a factor about a place of the window; `to` sets the scale itself. */
export function zoom(factor, about = null, to = null) {
  if (!known()) return;
  const [w, h] = size();
  const place = about ?? hooks.about() ?? [w / 2, h / 2];
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

export function pan(dx, dy) {
  lie.x += dx;
  lie.y += dy;
  settle();
}

/** Moves the photo so that a point is seen. */
export function show(at) {
  const [x, y] = toScreen(at);
  const [w, h] = size();
  const margin = 40;
  const step = (v, most) => (v < margin ? margin - v : v > most - margin ? most - margin - v : 0);
  const [dx, dy] = [step(x, w), step(y, h)];
  if (dx || dy) pan(dx, dy);
}

/** Lays a picture over a part of the photo. */
export function place(img, [l, t, r, b]) {
  const [x, y] = toScreen([l, t]);
  const [x2, y2] = toScreen([r, b]);
  Object.assign(img.style, { left: `${x}px`, top: `${y}px`, width: `${x2 - x}px`, height: `${y2 - y}px` });
  if (img.tagName === 'IMG') img.classList.toggle('pixels', lie.scale * window.devicePixelRatio >= 2);
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
  sharpening = setTimeout(async () => {
    if (doc.photo() !== photo) return;
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
    next.src = await picture('cut', { photo: photo.key, l: span[0], t: span[1], r: span[2], b: span[3], side, v: photo.version }).catch(() => '');
  }, 120);
}

/** Lays the photo and its sharp part where they belong. */
export function placeAll() {
  place(view, [0, 0, 1, 1]);
  if (cutSpan) place(cut, cutSpan);
}

const loaded = (address) => new Promise((done, failed) => {
  const image = new Image();
  image.onload = () => done(image);
  image.onerror = failed;
  image.src = address;
});

let shown = '';
/** Whether the photo at hand is being shown. */
export const isShown = () => known() && !view.hidden;

/** Shows the photo at hand; asks the program for it when it is another, or in another light. */
export async function showPhoto() {
  const photo = doc.photo();
  document.getElementById('empty').hidden = Boolean(photo);
  if (!photo) {
    for (const img of [view, cut]) img.hidden = true;
    [shown, cutSpan] = ['', null];
    return;
  }
  const wanted = `${photo.key}\n${photo.version}`;
  if (wanted === shown) return;
  const another = !shown.startsWith(`${photo.key}\n`);
  shown = wanted;
  const loading = document.getElementById('loading');
  if (another) {
    hooks.another();
    view.hidden = true;
    cut.hidden = true;
    cutSpan = null;
    loading.textContent = 'Reading the photo…';
    loading.hidden = false;
    hooks.redraw();
    showPreview(photo, wanted);
  }
  try {
    photo.known = doc.knownText(photo.key);
    const about = await ask('light', { photo: photo.key, light: photo.light, known: doc.knownIn(photo.key) });
    Object.assign(photo, { width: about.width, height: about.height, about });
    if (shown !== wanted) return;
    const next = await loaded(await picture('view', { photo: photo.key, v: photo.version }));
    if (shown !== wanted) return;
    const was = !view.hidden;
    view.src = next.src;
    view.hidden = false;
    loading.hidden = true;
    if (another && !was) fit();
    else settle();
    doc.tell('photo');
  } catch (problem) {
    if (shown !== wanted) return;
    loading.hidden = true;
    hooks.failed(problem);
  }
}

/** Shows the file itself while the program still reads it, in the camera's own light, where the browser can. */
async function showPreview(photo, wanted) {
  try {
    const image = await loaded(await picture('raw', { photo: photo.key }));
    if (shown !== wanted || photo.about || !image.naturalWidth) return;
    Object.assign(photo, { width: image.naturalWidth, height: image.naturalHeight });
    view.src = await preview(image);
    if (shown !== wanted || photo.about) return;
    view.hidden = false;
    document.getElementById('loading').textContent = 'In the camera’s own light; its colours are being read…';
    fit();
    document.dispatchEvent(new CustomEvent('preview'));
  } catch {
    // The browser cannot show such a file: it appears when the program has read it.
  }
}
