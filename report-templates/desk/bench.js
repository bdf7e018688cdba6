// At the bench: a photo of a dried patch, held against the plan, and logged.
import { ask, give } from './ask.js';
import { make, percent, sentence } from './make.js';
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
  load();
}

/** What is planned for the surface: its tones, and what was logged for each. */
let dabs = [];
let loads = 0;

const lastOf = ({ logged }) => logged[logged.length - 1];
/** A mark before the number of what is logged: what stands last may not be seen. */
const mark = (dab) => (dab.logged.length ? '✓ ' : '');
const last = (dab) => (dab.logged.length ? `${lastOf(dab).words}, ${lastOf(dab).date}` : '');

/** Asks for the tones of the surface that is chosen. */
async function load() {
  const surface = $('bench-surface').value;
  const now = $('bench-tone').value;
  const turn = (loads += 1);
  dabs = [];
  $('bench-planned').replaceChildren();
  $('bench-tone').replaceChildren(make('option', { value: now, textContent: surface ? 'Working the plan out…' : 'nothing is saved yet' }));
  if (!surface) return;
  try {
    const told = await ask('dabs', { surface });
    if (turn !== loads) return;
    ({ dabs } = told);
    // The one that was chosen; else the first that no patch was logged for.
    const chosen = dabs.find((dab) => String(dab.tone) === now && now !== '') ?? dabs.find((dab) => !dab.logged.length) ?? dabs[0];
    $('bench-tone').replaceChildren(...dabs.map((dab) => make('option', {
      value: dab.tone, selected: dab === chosen, textContent: [`${mark(dab)}${dab.tone} · ${dab.name}`, percent(dab.share), last(dab)].filter(Boolean).join(' · '),
    })));
    if (!dabs.length) $('bench-tone').replaceChildren(make('option', { value: '', textContent: 'none of it is brushed' }));
  } catch (problem) {
    if (turn !== loads) return;
    $('bench-tone').replaceChildren(make('option', { value: now, textContent: 'not known' }));
    $('bench-planned').replaceChildren(make('p', { role: 'alert', textContent: `${sentence(problem.message)} ${problem.hint ? sentence(problem.hint) : ''}` }));
  }
  showDab();
}

/** The tone that is chosen: its planned colour, and the patches that were logged for it. */
function showDab() {
  const dab = dabs.find((one) => String(one.tone) === $('bench-tone').value);
  if (!dab) return;
  const then = ({ words, verdict }) => (verdict === words ? '' : verdict === 'add' ? '; advised to add to the pot' : `; ${verdict}`);
  const line = ({ date, words, verdict, hex, de2000 }) => make('li', {},
    make('i', { colour: dab.hex, title: `planned ${dab.hex}` }), make('i', { colour: hex, title: `dried ${hex}` }), ` ✓ ${date}: ${words} (ΔE00 ${de2000.toFixed(1)})${then({ words, verdict })}`);
  $('bench-planned').replaceChildren(
    make('p', { className: 'small' }, make('i', { colour: dab.hex }), ` planned ${dab.hex}: ${dab.mix}`),
    dab.logged.length ? make('ul', { 'aria-label': 'Logged for it' }, ...dab.logged.map(line)) : make('p', { className: 'small', textContent: 'No patch of it is logged yet.' }));
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
  tell('Working the plan out, to compare the patch with it…');
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
    make('p', { className: 'small', textContent: told.logged ? 'Logged: the schedule shows it as built.' : told.doubtful ? 'Not logged: is this the right surface, and the right pot?' : 'Not logged yet.' }),
  );
  $('bench-log').disabled = told.logged || told.doubtful;
  $('bench-unlog').hidden = !told.logged;
  if (told.logged) {
    hooks.logged();
    load();
  }
}

$('bench-surface').addEventListener('change', () => {
  $('bench-tone').replaceChildren();
  load();
});
$('bench-tone').addEventListener('change', () => {
  // What was told is of another tone.
  $('bench-told').replaceChildren();
  $('bench-log').disabled = true;
  showDab();
});
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
$('bench-unlog').addEventListener('click', async () => {
  try {
    await ask('unlog');
    $('bench-unlog').hidden = true;
    $('bench-log').disabled = false;
    tell('Taken out of the log again.');
    hooks.logged();
    load();
  } catch (problem) {
    tell(`${sentence(problem.message)} ${problem.hint ? sentence(problem.hint) : ''}`, true);
  }
});
