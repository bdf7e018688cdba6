// The spine: the tones of the surface at hand, and their pixels on the photo.
import { make, percent } from './make.js';
import { place } from './lie.js';
import { onDrawn, redraw } from './marks.js';
import * as doc from './work.js';

const $ = (id) => document.getElementById(id);
const laid = $('laid');
const spine = $('spine');

/** What is told of the surface at hand: its tones and where they are. */
let told = null;
/** The maps, decoded: photo, span, size, the number of a tone for each place. */
let maps = [];
/** The tone that is pointed at, and the one that is held. */
let pointed = null;
let held = null;
const hooks = { lit: () => {}, held: () => {} };
/** Sets what is called with the tone that is lit, or null, and with one that is held. */
export const setHooks = (given) => Object.assign(hooks, given);

const OUTSIDE = 255;
const lit = () => pointed ?? held;

/** Takes in what was told of a surface; null where there is none at hand. */
export function show(answer) {
  if (answer?.maps && answer.maps !== told?.maps) {
    maps = answer.maps.map((m) => ({ ...m, places: Uint8Array.from(atob(m.places), (c) => c.charCodeAt(0)) }));
  } else if (!answer?.maps) maps = [];
  told = answer;
  if (held !== null && held >= (told?.tones.length ?? 0)) held = null;
  showStrip();
  paint();
}

function showStrip() {
  const tones = told?.tones ?? [];
  const at = spine.contains(document.activeElement) ? [...spine.children].indexOf(document.activeElement) : -1;
  spine.replaceChildren(...tones.map((tone, i) => {
    const b = make('button', { type: 'button', className: `${tone.lab[0] > 49.5 ? 'dark' : ''} ${tone.left_to_lamps ? 'left-to-lamps' : ''}` },
      make('b', { textContent: i + 1 }), make('span', { textContent: percent(tone.share) }));
    b.style.backgroundColor = tone.hex;
    b.style.flexGrow = Math.max(0.05, tone.share) * 10;
    b.setAttribute('aria-pressed', String(held === i));
    b.append(make('span', { className: 'unseen', textContent: `${tone.name}, ${tone.role}${tone.left_to_lamps ? ', left to the lamps' : ''}: show where it is` }));
    b.addEventListener('pointerenter', () => point(i));
    b.addEventListener('pointerleave', () => point(null));
    b.addEventListener('focus', () => point(i));
    b.addEventListener('blur', () => point(null));
    b.addEventListener('click', () => {
      held = held === i ? null : i;
      for (const [n, other] of [...spine.children].entries()) other.setAttribute('aria-pressed', String(held === n));
      paint();
      if (held !== null) hooks.held(held);
    });
    return b;
  }));
  if (at >= 0) spine.children[at]?.focus();
  standOut();
  if (!tones.length) spine.append(make('p', { textContent: doc.isKnown(doc.current()) ? 'not painted' : doc.current() ? 'Counting…' : 'tones' }));
}

/** Lights the pixels of a tone, or of none. */
export function point(tone) {
  if (pointed === tone) return;
  pointed = tone;
  paint();
  hooks.lit(lit());
}

/** The tone at a point of the photo at hand, if it is in the surface at hand. */
export function toneAt([x, y]) {
  for (const m of maps) {
    if (m.photo !== doc.photo()?.key) continue;
    const [l, t, r, b] = m.span;
    const [column, row] = [Math.floor(((x - l) / (r - l)) * m.width), Math.floor(((y - t) / (b - t)) * m.height)];
    if (column < 0 || row < 0 || column >= m.width || row >= m.height) continue;
    const tone = m.places[row * m.width + column];
    if (tone !== OUTSIDE) return tone;
  }
  return null;
}

/** Where on the photo was pointed last. */
let last = null;
/** Makes the tone that lies there stand out in the spine; gives which it is. */
function standOut() {
  const tone = last && told ? toneAt(last) : null;
  [...spine.children].forEach((b, i) => b.classList.toggle('near', i === tone));
  return tone;
}

/** Names the tone under the pointer: its place in the spine stands out. */
export function under(at) {
  last = at;
  const tone = standOut();
  return tone === null || !told?.tones[tone] ? null : { number: tone + 1, ...told.tones[tone] };
}

const channels = (hex) => [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16));
/** What is not lit is dimmed by so much (of 255). */
const DIM = 178;

/** Paints what lies over the photo: every place in its tone, or all but the tone that is lit dimmed. */
export function paint() {
  const all = $('lay').checked;
  const tone = lit();
  const wanted = told && !document.body.classList.contains('busy') && (all || tone !== null)
    ? maps.filter((m) => m.photo === doc.photo()?.key) : [];
  const colours = (told?.tones ?? []).map((t) => channels(t.hex));
  const strength = Math.round(2.55 * Number($('strength').value));
  laid.replaceChildren(...wanted.map((m) => {
    const canvas = make('canvas', { width: m.width, height: m.height });
    const context = canvas.getContext('2d');
    const image = context.createImageData(m.width, m.height);
    m.places.forEach((at, i) => {
      if (at === OUTSIDE) return;
      if (tone !== null) image.data[4 * i + 3] = at === tone ? 0 : DIM;
      else image.data.set([...colours[at], strength], 4 * i);
    });
    context.putImageData(image, 0, 0);
    canvas.span = m.span;
    return canvas;
  }));
  layOut();
}

function layOut() {
  for (const canvas of laid.children) place(canvas, canvas.span);
}
onDrawn(layOut);

$('lay').addEventListener('change', paint);
$('strength').addEventListener('input', () => {
  $('lay').checked = true;
  paint();
});

/** Lays the tones over the photo, or takes them away. */
export function toggle() {
  $('lay').checked = !$('lay').checked;
  paint();
  redraw();
  return $('lay').checked;
}

/** Hides what lies over the photo while something moves. */
export function busy(is) {
  if (document.body.classList.contains('busy') === is) return;
  document.body.classList.toggle('busy', is);
  paint();
}
