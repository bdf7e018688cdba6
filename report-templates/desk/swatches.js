// A photographed card of swatches: read, shown as it was seen, and taken over into the list.
import { give } from './ask.js';
import { make, sentence } from './make.js';

const $ = (id) => document.getElementById(id);
const hooks = {};
/** Sets what takes rows over: take([{ name, hex, note }]) gives whether they were taken, and what is called free(words). */
export const setHooks = (given) => Object.assign(hooks, given);

let photo = null;
let cells = [];

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
  $('card-grey').value = '';
  $('card-seen').hidden = true;
  $('card-ready').hidden = false;
  tell('');
}

async function read() {
  if (!photo) return;
  const what = { columns: $('card-columns').value.trim(), rows: $('card-rows').value.trim() };
  if (!/^\d+$/.test(what.columns) || !/^\d+$/.test(what.rows)) {
    tell('Say how many swatches lie across, and how many rows there are.', true);
    return;
  }
  const [x, y] = $('card-grey').value.split(/[;,\s]+/).map((v) => Number(v) / 100);
  if ($('card-grey').value.trim() && Number.isFinite(x) && Number.isFinite(y)) Object.assign(what, { card_x: x, card_y: y });
  tell('Reading the card…');
  try {
    show(await give('card', what, photo));
  } catch (problem) {
    $('card-seen').hidden = true;
    tell(`${sentence(problem.message)} ${problem.hint ? sentence(problem.hint) : ''}`, true);
  }
}

function show(told) {
  ({ cells } = told);
  URL.revokeObjectURL($('card-picture').src);
  $('card-picture').src = URL.createObjectURL(new Blob([told.seen], { type: 'image/svg+xml' }));
  $('card-picture').alt = `What was read: ${cells.map((cell, i) => `${i + 1} ${cell.hex}`).join(', ')}`;
  $('card-cells').replaceChildren(...cells.map((cell, i) => {
    const name = make('input', { type: 'text', value: hooks.free(`paint ${i + 1}`), autocomplete: 'off', maxLength: 120, 'aria-label': `Name of swatch ${i + 1}` });
    return make('li', {}, make('span', { textContent: i + 1 }), make('i', { colour: cell.hex, title: cell.hex }), name);
  }));
  $('card-seen').hidden = false;
  tell([`${cells.length} swatches, each off by about ΔE00 ${told.uncertainty.toFixed(0)}. Do the outlines lie on the paint? Name them; one without a name is left out.`, ...told.doubts.map(sentence)].join(' '));
}

async function take() {
  const names = [...$('card-cells').querySelectorAll('input')].map((input) => input.value.trim());
  const rows = cells.map(({ hex, note }, i) => ({ name: names[i], hex, note })).filter(({ name }) => name && name !== '-');
  if (!rows.length) {
    tell('Not one has a name.', true);
    return;
  }
  if (!await hooks.take(rows)) return;
  $('card-seen').hidden = true;
  $('card-reader').open = false;
  tell('');
}

$('card-file').addEventListener('change', () => takeUp($('card-file').files[0]));
$('card-photo').addEventListener('click', (event) => {
  const r = event.target.getBoundingClientRect();
  $('card-grey').value = [(event.clientX - r.left) / r.width, (event.clientY - r.top) / r.height].map((v) => (100 * v).toFixed(1)).join(', ');
});
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
