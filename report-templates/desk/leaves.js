// The sentence at the top: where one is, and the way to elsewhere; and the right pages it turns to.
import { make, sentence } from './make.js';
import { said } from './card.js';
import * as doc from './work.js';

const { work } = doc;
const $ = (id) => document.getElementById(id);

const hooks = {};
/** Sets what the pages do. */
export const setHooks = (given) => Object.assign(hooks, given);

/** The right page that lies open. */
let open = 'card';
const LEAVES = [
  ['photos', () => `Photos (${work.photos.length})`],
  ['walls', () => `walls and hills (${work.surfaces.length})`],
  ['paints', () => `paints (${work.paints})`],
  ['card', () => doc.current()?.name ?? 'the card'],
  ['schedule', () => 'the schedule'],
  ['bench', () => 'the bench'],
];

const main = document.querySelector('main');
/** How much room the page beside the photo has, from none to most; beside a wide window's photo the last two are alike. */
const ROOMS = ['folded', 'low', 'tall'];
const wide = window.matchMedia('(min-width: 60.01rem)');
let room = 1;

/** Gives the page beside the photo more room, or less. */
export function giveRoom(by) {
  room = Math.max(0, Math.min(wide.matches ? 1 : 2, room + by));
  for (const [i, name] of ROOMS.entries()) main.classList.toggle(name, i === room);
  $('less-page').disabled = room === 0;
  $('more-page').disabled = room === (wide.matches ? 1 : 2);
}
$('less-page').addEventListener('click', () => giveRoom(-1));
$('more-page').addEventListener('click', () => giveRoom(1));
wide.addEventListener('change', () => giveRoom(0));

/** The photo alone, or with its page again. */
export function fold() {
  giveRoom(room ? -room : 1);
  return room === 0;
}

/** Turns the right page. */
export function turnTo(leaf, focus = false) {
  if (leaf !== open) $('right').scrollTop = 0;
  open = leaf;
  for (const [id] of LEAVES) $(`leaf-${id}`).hidden = id !== leaf;
  main.dataset.leaf = leaf;
  const more = leaf === 'schedule' ? 'schedule' : 'card';
  $('more-page').setAttribute('aria-label', `More ${more}`);
  $('more-page').firstChild.textContent = `more ${more} `;
  if (focus && room === 0) giveRoom(1);
  showSentence();
  hooks.turned(leaf);
  const page = $(leaf === 'schedule' ? 'leaf-schedule' : 'right');
  if (focus) {
    page.setAttribute('tabindex', '-1');
    page.focus({ preventScroll: true });
    page.scrollIntoView({ block: 'nearest' });
  }
}

export const isOpen = (leaf) => open === leaf;

/** Whether the photo stands beside the schedule. */
export const besideSchedule = () => open === 'schedule' && window.matchMedia('(min-width: 80rem)').matches;

export function showSentence() {
  const box = $('sentence');
  const at = box.contains(document.activeElement) ? document.activeElement.dataset.leaf : null;
  const left = box.scrollLeft;
  const parts = LEAVES.map(([id, words]) => {
    const b = make('button', { type: 'button', textContent: words(), onclick: () => turnTo(id, true) });
    b.dataset.leaf = id;
    if (id === open) b.setAttribute('aria-current', 'page');
    return b;
  });
  box.replaceChildren(...parts.flatMap((b, i) => (i ? [make('span', { textContent: '·', 'aria-hidden': 'true' }), b] : [b])));
  // Where the sentence is longer than the window, what lies open is in view.
  const now = box.querySelector('[aria-current]');
  box.scrollLeft = Math.max(now.offsetLeft + now.offsetWidth - box.offsetLeft - box.clientWidth, Math.min(left, now.offsetLeft - box.offsetLeft));
  if (at) box.querySelector(`[data-leaf="${at}"]`)?.focus({ preventScroll: true });
}

/** A list of buttons that keeps what has the focus. */
function list(box, entries) {
  const focused = box.contains(document.activeElement) ? document.activeElement.dataset.id : null;
  box.replaceChildren(...entries.map(({ id, name, about, current, act }) => {
    const b = make('button', { type: 'button', onclick: act }, make('span', { textContent: name }), make('span', { className: 'small', textContent: about }));
    b.dataset.id = id;
    if (current) b.setAttribute('aria-current', 'true');
    return make('li', {}, b);
  }));
  if (focused) [...box.querySelectorAll('button')].find((b) => b.dataset.id === focused)?.focus({ preventScroll: true });
}

const TREATED = { coat: 'paint', rock: 'rock', scatter: 'scatter', wash: 'a wash', known: 'not painted, shows the light' };

export function showLists() {
  list($('surfaces'), work.surfaces.map((s) => {
    const where = [...new Set(s.parts.map((p) => p.photo))].join(', ');
    const about = `${TREATED[s.treatment] ?? s.treatment}, ${s.like ? 'without a photo' : `on ${where}`}`;
    return { id: String(s.id), name: s.name, about, current: s.id === work.surface, act: () => hooks.choose(s) };
  }));
  $('none').hidden = work.surfaces.length > 0;
  list($('photos'), work.photos.map((p, i) => {
    const n = work.surfaces.filter((s) => s.parts.some((part) => part.photo === p.key)).length;
    const about = `${n ? `${n} drawn` : 'nothing drawn'}${p.from ? `, from ${p.from}` : ''}`;
    return { id: p.key, name: `${p.key}: ${p.file}`, about, current: i === work.photo, act: () => hooks.goTo(i) };
  }));
  showSentence();
}

const RULES = [['', 'by distance and air'], ['customary', 'white paint by the scale'], ['none', 'none']];

/** What is said of the layout as a whole. */
export function showLayout() {
  const box = $('layout-said');
  const of = () => work;
  box.replaceChildren(
    said('its title', 'title', of, { whole: true }),
    said('scale', 'scale', of, { placeholder: '1:87' }),
    said('seen from', 'view', of, { placeholder: '0.9 m' }),
    said('lamps over it', 'lamps', of, { whole: true, placeholder: 'daylight, LED-B3, 4000 K, or a spectrum file' }),
    said('scale colour', 'rule', of, { choices: RULES }),
    said('how far you can see', 'visibility', of, { placeholder: '10 km' }),
    said('colour of the air', 'air', of, { placeholder: '#c8d6e4' }),
  );
}

const LIGHTS = [['', 'the known things in it'], ['materials', 'the materials in it'], ['as-it-is', 'as the camera made it']];

/** The light of the photo at hand, and how far its camera was. */
export function showLight() {
  const photo = doc.photo();
  const box = $('light');
  if (!photo) {
    box.replaceChildren();
    return;
  }
  if (box.contains(document.activeElement) && document.activeElement.matches('input')) return;
  const known = photo.light.chart || photo.light.neutral;
  const tool = (name, words, keyed) => {
    const b = make('button', { type: 'button', onclick: () => hooks.tool(name) }, `${words} `, make('kbd', { textContent: keyed }));
    b.dataset.tool = name;
    return b;
  };
  const from = make('input', { type: 'text', id: 'from', 'data-said': 'from', value: photo.from ?? '', placeholder: '12 m', autocomplete: 'off', maxLength: 40 });
  from.addEventListener('change', () => doc.change('distance', () => { photo.from = from.value.trim(); }));
  const rain = make('input', { type: 'checkbox', id: 'wet', checked: Boolean(photo.light.wet) });
  rain.addEventListener('change', () => hooks.rained(rain.checked));
  box.replaceChildren(
    make('h2', { textContent: `The light of ${photo.key}` }),
    make('p', { textContent: photo.about ? `${sentence(photo.about.words).slice(0, -1)}; colours may be off by about ΔE00 ${Math.round(photo.about.uncertainty)}.` : 'Being read…' }),
    ...(photo.about?.warnings ?? []).map((w) => make('p', { className: 'small', textContent: sentence(w) })),
    make('p', { className: 'small', textContent: 'One click on the photo makes it surer:' }),
    make('div', { className: 'actions' }, tool('card', 'a grey card', 'G'), tool('neutral', 'something grey or white', 'N'), tool('chart', 'a colour chart', 'K'),
      make('button', {
        type: 'button', onclick: known || photo.light.estimate ? hooks.forgetLight : hooks.estimateLight,
        textContent: photo.light.chart ? 'Forget the chart' : known ? 'Forget the neutral' : photo.light.estimate ? 'Forget the estimate' : 'Estimate it from the photo',
      })),
    make('div', { className: 'fields' }, ...saidOfPhoto(photo), make('label', { className: 'whole' }, make('span', { textContent: 'From how far was it taken?' }), from)),
    make('label', { className: 'lay' }, rain, make('span', { textContent: 'It was taken in rain: what is wet looks darker' })),
    make('div', { className: 'actions' }, tool('sky', 'The sky above far hills', 'F'),
      ...(photo.light.sky ? [make('button', { type: 'button', onclick: hooks.forgetSky, textContent: 'Forget the sky' })] : [])),
    make('div', { className: 'actions' }, make('button', { type: 'button', id: 'photo-out', onclick: () => hooks.takeOut(photo), textContent: 'Take this photo out of the layout' })),
  );
}

/** How grey the neutral is, what its light goes by, and whose it is. */
function saidOfPhoto({ key }) {
  const of = () => work.photos.find((p) => p.key === key);
  const fields = [said('its light is corrected by', 'light', of, { whole: true, choices: LIGHTS }), said('whose photo it is', 'credit', of, { whole: true, placeholder: 'printed with it' })];
  if (!of().light.neutral) return fields;
  const share = make('input', { type: 'text', value: of().light.neutral.reflectance ?? '', placeholder: '0.18; empty if you do not know', autocomplete: 'off', maxLength: 10 });
  share.addEventListener('change', () => {
    const value = Number(share.value.replace(',', '.'));
    hooks.greyIs(value >= 0.01 && value <= 1 ? value : null);
  });
  return [...fields, make('label', { className: 'whole' }, make('span', { textContent: 'How much light the neutral reflects' }), share)];
}
