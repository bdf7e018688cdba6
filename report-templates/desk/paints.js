// The paint list: swatches of what is there, and the list as text, to be changed or pasted over.
import { ask } from './ask.js';
import { make, sentence } from './make.js';
import * as doc from './work.js';

const { work } = doc;
const $ = (id) => document.getElementById(id);
const hooks = {};
/** Sets what is called: kept(told) when another list is the scene's now. */
export const setHooks = (given) => Object.assign(hooks, given);

const text = $('paint-text');
const medium = $('paint-medium');
let asIs = '';

function show(told) {
  $('paint-file').textContent = told.starter
    ? `You have no list yet: these are ${told.rows.length} invented paints, to try with. Put your own in their place.`
    : `${told.file}: ${told.rows.length} paints.`;
  $('paint-medium-row').hidden = medium.value === '' && told.rows.every((row) => row.medium !== null);
  $('paint-rows').replaceChildren(...told.rows.map((row) => {
    const swatch = make('td', { className: 'swatch' });
    swatch.style.backgroundColor = row.hex;
    return make('tr', {}, swatch, make('th', { scope: 'row', textContent: row.name }), make('td', { textContent: row.medium ?? '' }), make('td', { textContent: row.on_hand === null ? '' : `${row.on_hand} ml` }));
  }));
}

function tell(words, urgent = false) {
  $('paint-told').textContent = words;
  $('paint-told').setAttribute('role', urgent ? 'alert' : 'status');
}

/** Reads the scene's list. */
export async function load() {
  try {
    const told = await ask('paints');
    show(told);
    if (told.fault) tell(sentence(told.fault), true);
    if (text.value === asIs) text.value = told.text;
    asIs = told.text;
    work.paints = told.rows.length;
  } catch (problem) {
    tell(problem.message, true);
  }
}

async function look(keep) {
  try {
    const told = await ask('paste', { text: text.value, keep, medium: medium.value || null });
    show(told);
    const notes = told.notes.length ? ` ${told.notes.map(sentence).join(' ')}` : '';
    if (!keep) {
      tell(`${told.rows.length} paints, not kept yet.${notes}`);
      return;
    }
    asIs = told.text;
    text.value = told.text;
    medium.value = '';
    show(told);
    work.paints = told.rows.length;
    work.mixes = null;
    tell(`Kept in ${told.file}; what was there before is in paints-before.csv.${notes}`);
    hooks.kept(told);
  } catch (problem) {
    tell(`${sentence(problem.message)} ${problem.hint ? sentence(problem.hint) : ''}`, true);
  }
}

let waiting = 0;
text.addEventListener('input', () => {
  clearTimeout(waiting);
  waiting = setTimeout(() => { if (text.value.trim()) look(false); }, 400);
});
medium.addEventListener('change', () => look(false));
$('paint-keep').addEventListener('click', () => look(true));
$('paint-back').addEventListener('click', () => {
  text.value = asIs;
  medium.value = '';
  tell('');
  load();
});
