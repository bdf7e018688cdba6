// The photo of the clean model: which part of it counts, what is left out of that, what is grey in it; clicked on the photo,
// or typed as numbers.
import { picture } from './ask.js';
import { button, make } from './make.js';
import * as doc from './work.js';

const { work } = doc;

/** What is marked: its key, what it is called, how it is clicked, in how many places, and whether there may be several. */
const MARKS = [
  ['model_part', 'The part that counts', 'Two opposite corners of the part that counts.', 2, false],
  ['model_out', 'Leave out', 'Two opposite corners of what is left out; then of the next.', 2, true],
  ['model_grey', 'Grey or white', 'Something grey or white in it.', 1, false],
];
const NUMBERS = [
  ['model_part', 'the part that counts (%: left, top, right, bottom)', 'as the file says, or all of it; 10 20 90 80'],
  ['model_out', 'left out of that (%; the next after a semicolon)', '40 30 55 60; 70 30 85 60'],
  ['model_grey', 'something grey or white in it (%, across and down)', '41 77'],
];

const svg = (name, about) => {
  const one = document.createElementNS('http://www.w3.org/2000/svg', name);
  for (const [key, value] of Object.entries(about)) one.setAttribute(key, value);
  return one;
};

/** The corners of what is said, in per cent: a box, or an outline. */
function corners(words) {
  const all = words.split(/[,\s]+/).filter(Boolean).map(Number);
  if (all.length === 4) return [[all[0], all[1]], [all[2], all[1]], [all[2], all[3]], [all[0], all[3]]];
  return all.length > 5 ? Array.from({ length: Math.floor(all.length / 2) }, (_, i) => [all[2 * i], all[2 * i + 1]]) : [];
}

/** The fields; `said` makes one of a key, `more` folds them away. */
export function cleanModel(said, more) {
  const { id } = doc.current();
  const of = () => work.surfaces.find((one) => one.id === id);
  const files = [...new Set([...work.photos.map((p) => p.file), of().said.model_photo].filter(Boolean))];
  const choice = said('its photo', 'model_photo', of, { whole: true, choices: [['', 'none'], ...files.map((file) => [file, file])] });
  const numbers = NUMBERS.map(([name, words, placeholder]) => [name, said(words, name, of, { whole: true, placeholder })]);
  const inside = new Map(numbers.map(([name, label]) => [name, label.querySelector('input')]));
  const image = make('img', { alt: 'The photo of the clean model' });
  const over = svg('svg', { viewBox: '0 0 100 100', preserveAspectRatio: 'none', 'aria-hidden': 'true' });
  const told = make('p', { className: 'small', role: 'status' });
  let [at, first] = [0, null];
  const marks = MARKS.map(([, words], n) => button(words, null, () => turn(n)));
  const shown = make('div', { className: 'whole model', hidden: true }, make('div', { className: 'actions' }, ...marks), told, make('div', { className: 'photo' }, image, over));
  const typed = make('details', { className: 'whole' }, make('summary', { textContent: 'As numbers' }), make('div', { className: 'fields' }, ...numbers.map(([, label]) => label)));

  function turn(n) {
    [at, first] = [n, null];
    marks.forEach((b, i) => b.setAttribute('aria-pressed', String(i === n)));
    told.textContent = MARKS[n][2];
    draw();
  }

  function draw() {
    over.replaceChildren();
    const outline = (words, kind) => {
      for (const layer of ['edge', kind]) over.append(svg('polygon', { points: corners(words).join(' '), class: layer }));
    };
    outline(inside.get('model_part').value, 'ink');
    for (const words of inside.get('model_out').value.split(';')) outline(words, 'ink dash');
    const dots = [inside.get('model_grey').value.split(/[,\s]+/).filter(Boolean).map(Number), first ?? []];
    for (const [x, y] of dots.filter((dot) => dot.length === 2)) {
      for (const layer of ['edge', 'ink']) over.append(svg('path', { d: `M${x - 2},${y}h4M${x},${y - 2}v4`, class: layer }));
    }
  }

  async function show() {
    const photo = work.photos.find((p) => p.file === of()?.said.model_photo);
    shown.hidden = !photo;
    if (!photo) typed.open = Boolean(of()?.said.model_photo);
    if (!photo || image.dataset.of === photo.key) return;
    image.dataset.of = photo.key;
    image.src = await picture('view', { photo: photo.key });
  }

  image.addEventListener('click', (event) => {
    const r = image.getBoundingClientRect();
    const place = [(event.clientX - r.left) / r.width, (event.clientY - r.top) / r.height].map((v) => Number((100 * v).toFixed(1)));
    const [name, words, , count, several] = MARKS[at];
    if (count === 2 && !first) {
      first = place;
      told.textContent = 'Now the opposite corner.';
      draw();
      return;
    }
    const [a, b] = [first ?? place, place];
    const box = count === 1 ? place : [0, 1].map((c) => Math.min(a[c], b[c])).concat([0, 1].map((c) => Math.max(a[c], b[c])));
    const before = several ? inside.get(name).value.trim() : '';
    const value = `${before ? `${before}; ` : ''}${box.join(' ')}`;
    inside.get(name).value = value;
    doc.change(words.toLowerCase(), () => { of().said[name] = value; });
    turn(at);
  });
  for (const field of inside.values()) field.addEventListener('change', draw);
  choice.querySelector('select').addEventListener('change', show);
  const all = more('The clean model, photographed', [choice, shown, typed]);
  all.addEventListener('toggle', show);
  turn(0);
  return all;
}
