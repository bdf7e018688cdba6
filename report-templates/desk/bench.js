// At the bench: a photo of a dried patch, held against the plan, and logged.
import { give } from './ask.js';
import { make, sentence } from './make.js';
import * as doc from './work.js';

const { work } = doc;
const $ = (id) => document.getElementById(id);
const hooks = { logged: () => {} };
/** Sets what is called when a patch was logged, and what gives today's date. */
export const setHooks = (given) => Object.assign(hooks, given);

let photo = null;

/** The surfaces that can be patched: those that the file has. */
export function show() {
  const now = $('bench-surface').value || doc.current()?.name;
  $('bench-surface').replaceChildren(...work.surfaces.filter((s) => s.was !== null).map((s) => make('option', { value: s.was, textContent: s.was, selected: s.was === now })));
  $('bench-ready').hidden = !photo;
}

const places = (id) => {
  const [x, y] = $(id).value.split(/[;,\s]+/).map((v) => Number(v) / 100);
  return Number.isFinite(x) && Number.isFinite(y) && $(id).value.trim() ? [x, y] : null;
};

function tell(words, urgent = false) {
  $('bench-told').replaceChildren(make('p', { role: urgent ? 'alert' : 'status', textContent: words }));
}

async function hold(log) {
  if (!photo) return;
  const what = { surface: $('bench-surface').value, tone: $('bench-tone').value || 1, date: hooks.today(), log };
  for (const [id, name] of [['bench-card', 'card'], ['bench-dab', 'dab']]) {
    const at = places(id);
    if (at) Object.assign(what, { [`${name}_x`]: at[0], [`${name}_y`]: at[1] });
  }
  tell('Working the plan out, to hold the patch against it…');
  try {
    answered(await give('patch', what, photo));
  } catch (problem) {
    tell(`${sentence(problem.message)} ${problem.hint ? sentence(problem.hint) : ''}`, true);
  }
}

function answered(told) {
  const swatch = (colour, words) => {
    const s = make('span', { title: `${words} ${colour.hex}` });
    s.style.backgroundColor = colour.hex;
    return s;
  };
  const { add } = told;
  $('bench-told').replaceChildren(
    make('p', { className: 'heads' }, make('span', { textContent: 'planned' }), make('span', { textContent: 'the mix' }), make('span', { textContent: 'dried' })),
    make('div', { className: 'tone' }, make('div', { className: 'swatches' }, swatch(told.planned, 'planned'), swatch(told.predicted, 'predicted'), swatch(told.seen, 'dried'))),
    make('p', { role: 'status' }, `${told.direction ? `It is ${told.direction} than planned` : 'It hardly differs from the plan'} (ΔE00 ${told.de2000.toFixed(1)} ± ${told.uncertainty_de.toFixed(0)}). ${told.advice}`),
    add.paints.length ? make('p', {}, make('b', { textContent: `Add to every ${add.per_parts} parts in the pot: ${add.paints.map((p) => `${p.parts} ${p.name}`).join(' + ')}.` })) : '',
    make('p', { className: 'small', textContent: told.logged ? 'Logged: the schedule shows it as built.' : told.doubtful ? 'Not to be logged: is this the right surface, and the right pot?' : 'Not logged yet.' }),
  );
  $('bench-log').disabled = told.logged || told.doubtful;
  if (told.logged) hooks.logged();
}

$('bench-file').addEventListener('change', () => {
  [photo] = $('bench-file').files;
  if (!photo) return;
  $('bench-photo').src = URL.createObjectURL(photo);
  for (const id of ['bench-card', 'bench-dab']) $(id).value = '';
  $('bench-told').replaceChildren();
  $('bench-log').disabled = true;
  show();
});
// The first click says where the grey card is, the next where the dab is; after that they say so anew.
$('bench-photo').addEventListener('click', (event) => {
  const r = event.target.getBoundingClientRect();
  const at = [(event.clientX - r.left) / r.width, (event.clientY - r.top) / r.height].map((v) => (100 * v).toFixed(1)).join(', ');
  const id = !$('bench-card').value || $('bench-dab').value ? 'bench-card' : 'bench-dab';
  if (id === 'bench-card') $('bench-dab').value = '';
  $(id).value = at;
});
$('bench-hold').addEventListener('click', () => hold(false));
$('bench-log').addEventListener('click', () => hold(true));
