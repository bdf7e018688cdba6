// The loupe: the colour under the pointer, and which tone it counts as.
import { Newest } from './ask.js';
import { values } from './make.js';
import * as spine from './spine.js';
import * as doc from './work.js';

const { work } = doc;
const $ = (id) => document.getElementById(id);

const pointed = new Newest('colour');
/** A point whose colour waits until what is dragged rests. */
let held_at = null;
/** Shows the colour at a point of the photo; while something is dragged, once it rests. */
export function showColour(at) {
  const photo = doc.photo();
  if (!photo) return;
  held_at = work.dragging && at !== held_at ? at : null;
  if (held_at) return;
  const tone = spine.under(at);
  if (!photo.about) return;
  pointed.put({ photo: photo.key, at }, (told) => {
    if (!told) return;
    $('loupe-name').textContent = tone ? `${told.name}: counts as tone ${tone.number}` : told.name;
    $('loupe-values').textContent = `${values(told.hex, told.lab)} · mean of 3 × 3 pixels at ${told.x}, ${told.y}`;
    const canvas = $('loupe-pixels');
    const context = canvas.getContext('2d');
    const side = canvas.width / told.side;
    for (let i = 0; i < told.side * told.side; i += 1) {
      context.fillStyle = `#${told.pixels.slice(6 * i, 6 * i + 6)}`;
      context.fillRect((i % told.side) * side, Math.floor(i / told.side) * side, side, side);
    }
    const first = ((told.side - 3) / 2) * side;
    context.strokeStyle = told.lab[0] > 55 ? '#000000' : '#ffffff';
    context.lineWidth = 2;
    context.strokeRect(first, first, 3 * side, 3 * side);
  });
}

/** Another photo is shown: nothing of it has been pointed at. */
export function forget() {
  pointed.drop();
  held_at = null;
  $('loupe-name').textContent = 'Colour under the pointer';
  $('loupe-values').textContent = '';
  const canvas = $('loupe-pixels');
  canvas.getContext('2d').clearRect(0, 0, canvas.width, canvas.height);
}

/** Shows what waited for what moved to rest. */
export function rested() {
  if (held_at) showColour(held_at);
}
