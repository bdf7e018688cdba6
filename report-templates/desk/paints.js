// The lists of paints and of scatter: each as rows to change, and as text to change or paste over. The text is the list;
// a row that is changed is written into it.
import { Problem, ask, give } from './ask.js';
import { make, sentence } from './make.js';
import * as swatches from './swatches.js';
import * as doc from './work.js';

const { work } = doc;
const $ = (id) => document.getElementById(id);
const hooks = {};
/** Sets what is called: kept(told) when another list is the scene's now. */
export const setHooks = (given) => Object.assign(hooks, given);

const text = $('paint-text');
const medium = $('paint-medium');

/** What the two lists are called, and which columns their rows show. */
const LISTS = {
  paints: { one: 'paint', single: 'paint', many: 'paints', kind: 'medium', amount: 'on_hand_ml', unit: 'ml' },
  scatter: { one: 'kind', single: 'kind of scatter', many: 'kinds of scatter', kind: 'material', amount: 'on_hand_g', unit: 'g' },
};
let of = 'paints';
/** The row that is open to be changed; none below 0. */
let opened = -1;
/** The list as it is kept, and as cells with their header first. */
let asIs = '';
/** Whether they are the invented paints one begins with. */
let isStarter = false;
let cells = [['name', 'hex']];

const quoted = (cell) => (/[",\n\r]|^\s|\s$/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell);
const asText = () => `${cells.map((row) => row.map(quoted).join(',')).join('\n')}\n`;

/** Writes one cell, in a column that may be new. */
function write(row, column, value) {
  let at = cells[0].indexOf(column);
  if (at < 0) {
    at = cells[0].push(column) - 1;
    for (const other of cells.slice(1)) other[at] = '';
  }
  cells[row + 1][at] = value;
  text.value = asText();
  look(false);
}

const held = (row, column) => cells[row + 1]?.[cells[0].indexOf(column)] ?? '';

/** What a row holds, each to be changed. */
function fields(told, row, at) {
  const { kind, amount, unit } = LISTS[of];
  const field = (words, input, column, whole = false) => {
    input.setAttribute('aria-label', `${words} of ${row.name}`);
    input.addEventListener('change', () => write(at, column, input.value.trim()));
    return make('label', { className: whole ? 'whole' : '' }, make('span', { textContent: words }), input);
  };
  const measured = held(at, 'hex') === '';
  const said = held(at, kind);
  const choices = ['', ...told.words, ...(said && !told.words.includes(said) ? [said] : [])];
  return make('div', { className: 'fields' },
    field('name', make('input', { type: 'text', value: row.name, autocomplete: 'off' }), 'name', true),
    field('colour', make('input', { type: 'color', value: row.hex, disabled: measured, title: measured ? 'measured: change it in the text' : '' }), 'hex'),
    field(kind, make('select', {}, ...choices.map((word) => make('option', { value: word, textContent: word || '?', selected: word === said }))), kind),
    field(`on hand, ${unit}`, make('input', { type: 'text', value: held(at, amount), inputMode: 'decimal', autocomplete: 'off' }), amount),
    make('div', { className: 'actions whole' },
      make('button', { type: 'button', textContent: 'Take it off', 'aria-label': `take ${row.name} off the list`, onclick: () => takeOff(at) }),
      make('button', { type: 'button', textContent: 'Close', 'aria-label': `close ${row.name}`, onclick: () => openRow(told, -1) })));
}

function takeOff(at) {
  if (cells.length < 3) {
    tell('A list needs one row at least.', true);
    return;
  }
  cells.splice(at + 1, 1);
  opened = -1;
  text.value = asText();
  look(false);
}

/** Opens a row to be changed, or closes the one that is open. */
function openRow(told, at) {
  const from = opened;
  opened = at;
  show(told);
  const row = $('paint-rows').children[at < 0 ? from : at];
  (at < 0 ? row?.querySelector('button') : row?.querySelector('input'))?.focus();
}

/** "5 paints", "1 kind of scatter". */
const counted = ({ rows }) => `${rows.length} ${rows.length === 1 ? LISTS[of].single : LISTS[of].many}`;

function show(told) {
  const list = LISTS[of];
  $('paint-file').textContent = told.starter
    ? `You have no list yet: these are ${told.rows.length} invented paints, to try with. Put your own in their place.`
    : told.rows.length ? `${told.file}: ${counted(told)}.` : `No list of ${of} yet. Write what you have row by row, or paste a list below.`;
  $('paint-kind').textContent = list.kind;
  for (const id of ['card-reader', 'paint-missing']) $(id).hidden = of !== 'paints';
  $('paint-medium-row').hidden = of !== 'paints' || (medium.value === '' && told.rows.every((row) => row.own !== null));
  cells = told.cells.length ? told.cells : [['name', 'hex']];
  // Whoever was in a field is in the same one again.
  const rows = $('paint-rows');
  const inside = [...rows.querySelectorAll('input, select, button')].indexOf(document.activeElement);
  rows.replaceChildren(...told.rows.map((row, at) => {
    if (at === opened) return make('tr', {}, make('td', { colSpan: 4 }, fields(told, row, at)));
    const name = make('button', { type: 'button', textContent: row.name, 'aria-label': `change ${row.name}`, onclick: () => openRow(told, at) });
    const left = held(at, list.amount);
    return make('tr', {}, make('td', { className: 'swatch', colour: row.hex }), make('th', { scope: 'row' }, name),
      make('td', { textContent: held(at, list.kind) }), make('td', { textContent: left && `${left} ${list.unit}` }));
  }));
  if (inside >= 0) rows.querySelectorAll('input, select, button')[inside]?.focus({ preventScroll: true });
}

function tell(words, urgent = false) {
  $('paint-told').textContent = words;
  $('paint-told').setAttribute('role', urgent ? 'alert' : 'status');
}

/** Reads the scene's list. */
export async function load() {
  try {
    const told = await ask('paints', { of });
    show(told);
    isStarter = Boolean(told.starter);
    if (told.fault) tell(sentence(told.fault), true);
    if (text.value === asIs) text.value = told.text;
    asIs = told.text;
    if (of === 'paints') work.paints = told.rows.length;
  } catch (problem) {
    tell(problem.message, true);
  }
}

/** The list that was there before this one was kept; null where there was none. */
let before = null;

/** Takes in a list that is a file of its own, and keeps it. */
export async function takeFile(file) {
  await load();
  if (text.value !== asIs) {
    tell('You changed this list but did not keep it: use it, or put it back as it was, before you take in another.', true);
    return;
  }
  try {
    const told = await give(of === 'paints' ? 'list' : 'scatter', {}, file);
    opened = -1;
    text.value = told.text;
    if (!await look(true)) text.value = asIs;
  } catch (problem) {
    throw new Problem(`${file.name}: ${problem.message}`, problem.hint);
  }
}

/** Looks at the text, or makes it the scene's list; what was asked later goes before. */
let asked = 0;
async function look(keep) {
  const turn = ++asked;
  try {
    const told = await ask('paste', { of, text: text.value, keep, medium: medium.value || null });
    if (turn !== asked) return true;
    show(told);
    isStarter = false;
    const notes = told.notes.length ? ` ${told.notes.map(sentence).join(' ')}` : '';
    if (!keep) {
      tell(`${counted(told)}, not kept yet.${notes}`);
      return true;
    }
    if (asIs.trim()) before = asIs;
    $('paint-undo').hidden = before === null;
    asIs = told.text;
    text.value = told.text;
    medium.value = '';
    show(told);
    if (told.digest) work.digest = told.digest;
    if (of === 'paints') {
      work.paints = told.rows.length;
      work.mixes = null;
      $('missing-told').hidden = true;
    }
    tell(`Kept in ${told.file}${told.before ? `; what was there before is in ${told.before}` : ''}.${notes}`);
    hooks.kept(told);
    return true;
  } catch (problem) {
    tell(`${sentence(problem.message)} ${problem.hint ? sentence(problem.hint) : ''}`, true);
    return false;
  }
}

/** Turns to the other list. */
async function turn(to) {
  if (to === of) return;
  if (text.value !== asIs) {
    tell('You changed this list but did not keep it: use it, or put it back as it was, before you turn to the other.', true);
    return;
  }
  of = to;
  before = null;
  $('paint-undo').hidden = true;
  opened = -1;
  $('missing-told').hidden = true;
  for (const name of Object.keys(LISTS)) $(`list-${name}`).setAttribute('aria-pressed', String(name === of));
  tell('');
  asIs = '';
  text.value = '';
  await load();
}

/** Whether a name is free in the list; else the name with a number behind it. */
function free(words) {
  const names = new Set(isStarter ? [] : cells.slice(1).map((row) => row[cells[0].indexOf('name')]?.toLowerCase()));
  if (!names.has(words.toLowerCase())) return words;
  for (let n = 2; ; n += 1) if (!names.has(`${words} (${n})`)) return `${words} (${n})`;
}

swatches.setHooks({
  free,
  /** Adds rows that were read off a card; the invented ones one begins with go. */
  take: async (rows) => {
    const before = text.value;
    if (isStarter) cells = [['name', 'hex']];
    for (const column of Object.keys(rows[0]).filter((one) => rows.some((row) => row[one]))) {
      if (!cells[0].includes(column)) { cells[0].push(column); for (const row of cells.slice(1)) row.push(''); }
    }
    cells.push(...rows.map((row) => cells[0].map((column) => row[column] ?? '')));
    text.value = asText();
    opened = -1;
    if (await look(false)) return true;
    text.value = before;
    return false;
  },
});

/** Says what one further paint would help most; of the scene and the list as they are saved. */
async function missing() {
  const told = $('missing-told');
  told.hidden = false;
  told.textContent = 'Working it out…';
  try {
    const { hex, words } = await ask('missing');
    told.replaceChildren(...(hex ? [make('i', { colour: hex }), words] : ['Nothing is so far out of reach that one further paint would help.']));
  } catch (problem) {
    told.textContent = `${sentence(problem.message)} ${problem.hint ? sentence(problem.hint) : ''}`;
  }
}
$('paint-missing').addEventListener('click', missing);

let waiting = 0;
text.addEventListener('input', () => {
  clearTimeout(waiting);
  waiting = setTimeout(() => { if (text.value.trim()) look(false); }, 400);
});
for (const name of Object.keys(LISTS)) $(`list-${name}`).addEventListener('click', () => turn(name));
medium.addEventListener('change', () => look(false));
$('paint-more').addEventListener('click', async () => {
  const names = cells.slice(1).map((row) => row[cells[0].indexOf('name')].toLowerCase());
  const { one } = LISTS[of];
  const free = [1, ...names.map((_, i) => i + 2)].map((n) => (n === 1 ? `new ${one}` : `new ${one} ${n}`)).find((name) => !names.includes(name));
  const filled = { name: free, hex: '#888888' };
  for (const column of Object.keys(filled)) if (!cells[0].includes(column)) { cells[0].push(column); for (const row of cells.slice(1)) row.push(''); }
  cells.push(cells[0].map((column) => filled[column] ?? ''));
  text.value = asText();
  opened = cells.length - 2;
  await look(false);
  $('paint-rows').lastElementChild?.querySelector('[type="text"]')?.select();
});
$('paint-keep').addEventListener('click', () => look(true));
$('paint-take').addEventListener('click', () => $('paint-given').click());
$('paint-undo').addEventListener('click', () => {
  opened = -1;
  text.value = before;
  look(true);
});
$('paint-back').addEventListener('click', () => {
  opened = -1;
  text.value = asIs;
  medium.value = '';
  tell('');
  load();
});
