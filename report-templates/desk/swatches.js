// A photographed card of swatches: read, shown as it was seen, and taken over into the list.
import { give } from './ask.js';
import { make, sentence } from './make.js';

const $ = (id) => document.getElementById(id);
const hooks = {};
/** Sets what takes rows over: take([{ name, hex, note, … }]) gives whether they were taken, and what is called free(words). */
export const setHooks = (given) => Object.assign(hooks, given);

let photo = null;
/** The rows that were read, by the columns of a list. */
let rows = [];

/** What a click on the photo marks next, by the light's kind: how many places, and in whose field. */
const LIT = {
  grey: ['grey card at (%, across and down)', 1],
  chart: ['corners of its patches 1, 6, 24, 19 (%)', 4],
};

function tell(words, urgent = false) {
  $('card-told').textContent = words;
  $('card-told').setAttribute('role', urgent ? 'alert' : 'status');
}

/** Takes a photo up. */
function takeUp(file) {
  if (!file) return;
  photo = file;
  URL.revokeObjectURL($('card-photo').src);
  $('card-photo').src = URL.createObjectURL(file);
  for (const id of ['card-grey', 'card-corners']) $(id).value = '';
  $('card-seen').hidden = true;
  $('card-ready').hidden = false;
  tell('');
}

const numbers = (id) => $(id).value.split(/[;,\s]+/).filter(Boolean).map(Number);
/** Places in a field, as fractions. */
const places = (id) => numbers(id).map((v) => (v / 100).toFixed(4)).join(',');

/** What is asked of the card. */
function asked() {
  const what = { columns: $('card-columns').value.trim(), rows: $('card-rows').value.trim() };
  const beside = $('card-beside').value;
  if (beside.includes('w')) what.with_white = $('card-white').value.trim().replace(',', '.');
  if (beside.includes('o')) what.over_cards = true;
  const light = $('card-light').value;
  if (light === 'estimate') what.estimate = true;
  if (LIT[light] && $('card-grey').value.trim()) what.light_at = places('card-grey');
  if (light === 'grey') what.reflectance = numbers('card-reflects')[0] / 100;
  if ($('card-corners').value.trim()) what.corners = places('card-corners');
  if ($('card-names').value.trim()) what.names = $('card-names').value;
  return what;
}

/** What is not filled in as it must be, in words. */
function lacking(what) {
  if (!/^\d+$/.test(what.columns) || !/^\d+$/.test(what.rows)) return 'Say how many cells lie across, and how many rows there are.';
  if ('with_white' in what && !(Number(what.with_white) > 0)) return 'Say how many parts of white went to one of paint: 3 is best.';
  if ('reflectance' in what && !(what.reflectance > 0)) return 'Say how much the grey card reflects: 18 % is usual.';
  if (LIT[$('card-light').value] && !what.light_at) return `Click it in the photo, or type where it is: ${LIT[$('card-light').value][0]}.`;
  const marked = numbers('card-grey').length / 2;
  if ($('card-light').value === 'chart' && marked !== 4) return `${marked === 1 ? 'One corner' : `${Math.floor(marked)} corners`} of the chart ${marked === 1 ? 'is' : 'are'} marked: click all four.`;
  return null;
}

async function read() {
  if (!photo) return;
  const what = asked();
  const lacks = lacking(what);
  if (lacks) {
    tell(lacks, true);
    return;
  }
  tell('Reading the card…');
  try {
    show(await give('card', what, photo), !what.names);
  } catch (problem) {
    $('card-seen').hidden = true;
    tell(`${sentence(problem.message)} ${problem.hint ? sentence(problem.hint) : ''}`, true);
  }
}

/** The colours of a row: the paint's own, and what stands beside it. */
const colours = (row) => Object.keys(row).filter((column) => column.endsWith('hex') && row[column]).map((column) => row[column]);

function show(told, unnamed) {
  const [header, ...cells] = told.list;
  rows = cells.map((row) => Object.fromEntries(header.map((column, i) => [column, row[i]])));
  const step = told.cells_a_paint;
  URL.revokeObjectURL($('card-picture').src);
  $('card-picture').src = URL.createObjectURL(new Blob([told.seen], { type: 'image/svg+xml' }));
  $('card-picture').alt = `What was read: ${rows.map((row, i) => `${told.at[i]} ${colours(row).join(' ')}`).join(', ')}`;
  $('card-cells').replaceChildren(...rows.map((row, i) => {
    const [from, to] = [told.at[i], told.at[i] + step - 1];
    const name = make('input', { type: 'text', value: unnamed ? hooks.free(row.name) : row.name, autocomplete: 'off', maxLength: 120, 'aria-label': `Name of swatch ${from}` });
    const seen = make('span', { className: 'seen' }, ...colours(row).map((hex) => make('i', { colour: hex, title: hex })));
    const strength = row.strength ? [make('span', { className: 'small', textContent: `strength ${row.strength}` })] : [];
    return make('li', {}, make('span', { textContent: step > 1 ? `${from}–${to}` : from }), seen, name, ...strength);
  }));
  $('card-seen').hidden = false;
  const strong = told.strengths ? ' Strengths are filled in.' : '';
  const what = step > 1 ? `${rows.length} paints, ${step} cells each` : `${rows.length} swatches`;
  tell([`${what}, each off by about ΔE00 ${told.uncertainty.toFixed(0)}.${strong} Do the outlines lie on the paint? Name them; one without a name is left out.`, ...told.doubts.map(sentence)].join(' '));
}

async function take() {
  const names = [...$('card-cells').querySelectorAll('input')].map((input) => input.value.trim());
  const taken = rows.map((row, i) => ({ ...row, name: names[i] })).filter(({ name }) => name && name !== '-');
  if (!taken.length) {
    tell('Not one has a name.', true);
    return;
  }
  if (!await hooks.take(taken)) return;
  $('card-seen').hidden = true;
  $('card-reader').open = false;
  tell('');
}

/** Shows the fields that go with what is said of the card. */
function fit() {
  $('card-white-row').hidden = !$('card-beside').value.includes('w');
  const lit = LIT[$('card-light').value];
  for (const row of document.querySelectorAll('.card-lit')) row.hidden = !lit;
  if (lit) [$('card-lit-at').textContent] = lit;
  $('card-reflects-row').hidden = $('card-light').value !== 'grey';
}

/** Whether clicks mark the grid's corners just now. */
const marking = (on) => $('card-mark').setAttribute('aria-pressed', String(on));

/** Puts a place that was clicked into a field of so many places; one too many begins again. */
function mark(id, most, place) {
  const before = $(id).value.split(';').map((one) => one.trim()).filter(Boolean);
  const all = before.length < most ? [...before, place] : [place];
  $(id).value = all.join('; ');
  if (most > 1) tell(all.length < most ? `${all.length} of ${most} corners.` : 'All four corners.');
  return all.length === most;
}

$('card-file').addEventListener('change', () => takeUp($('card-file').files[0]));
$('card-photo').addEventListener('click', (event) => {
  const r = event.target.getBoundingClientRect();
  const place = [(event.clientX - r.left) / r.width, (event.clientY - r.top) / r.height].map((v) => (100 * v).toFixed(1)).join(', ');
  if ($('card-mark').getAttribute('aria-pressed') === 'true') {
    if (mark('card-corners', 4, place)) marking(false);
    return;
  }
  if (!LIT[$('card-light').value]) $('card-light').value = 'grey';
  fit();
  mark('card-grey', LIT[$('card-light').value][1], place);
});
$('card-mark').addEventListener('click', () => {
  marking(true);
  $('card-corners').value = '';
  tell('Click the grid’s corners in the photo, going round from the first cell: half a gap beyond the outer cells.');
});
for (const id of ['card-beside', 'card-light']) $(id).addEventListener('change', fit);
$('card-light').addEventListener('change', () => { $('card-grey').value = ''; });
// A photo that is dropped here is a card; anywhere else it is one of the layout's.
$('card-reader').addEventListener('drop', (event) => {
  const [file] = event.dataTransfer?.files ?? [];
  if (!file) return;
  event.preventDefault();
  event.stopPropagation();
  $('stage').classList.remove('dropping');
  $('card-reader').open = true;
  takeUp(file);
});
$('card-read').addEventListener('click', read);
$('card-take').addEventListener('click', take);
