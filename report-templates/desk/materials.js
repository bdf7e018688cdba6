// The drawer of measured materials: named swatches, for what the surface at hand is made of, or for a new surface without a photo.
import { make } from './make.js';
import * as doc from './work.js';

const { work } = doc;
const $ = (id) => document.getElementById(id);

let tell = () => {};
/** Sets what is called with words after something was chosen. */
export const setTell = (given) => { tell = given; };

/** A measured material by its name. */
export const named = (name) => work.materials.find((m) => m.name === name);

/** "measured, n = 18". */
export const counted = (name) => named(name)?.counted ?? 'measured';

/** What a surface without a photo is like, in words. */
export function likeWords({ like }) {
  const ofOne = (name) => `${name} (${counted(name)})`;
  return like.to ? `${ofOne(like.from)}, ${Math.round(100 * (like.at ?? 0.5))} % of the way to ${ofOne(like.to)}` : ofOne(like.from);
}

/** Whether a word of a surface's name may mean the material. */
function meant(name, material) {
  const words = name.toLowerCase().split(/[^\p{L}\p{N}]+/u);
  return material.words.some((word) => words.includes(word)) || material.things.includes(words.findLast((word) => word));
}

/** What a click is to say, as far as there is a surface at hand to say it of. */
let wishesNew = false;
const wantsNew = () => wishesNew || !doc.current();

function chosen(material) {
  const surface = doc.current();
  if (wantsNew()) {
    doc.change('surface without a photo', () => doc.addLike(material.name));
    tell(`${doc.current().name} added, without a photo; press E to name it`);
    wishesNew = false;
  } else if (surface.like) {
    doc.change('what it is like', () => { surface.like = { ...(surface.like.to && surface.like.to !== material.name ? surface.like : {}), from: material.name }; });
    tell(`${surface.name} is like ${material.name}`);
  } else {
    const same = surface.material === material.name;
    doc.change('what it is made of', () => {
      surface.material = same ? null : material.name;
      if (doc.isKnown(surface) && !same) surface.name = doc.freeName(material.name);
    });
    tell(same ? `what ${surface.name} is made of is left open` : `${surface.name} is made of ${material.name}`);
  }
  doc.tell('all');
}

/** The swatches; those that the name of the surface at hand may mean come first. */
export function showMaterials() {
  const list = $('material-list');
  const surface = doc.current();
  $('like-made').disabled = !surface;
  $('like-new').checked = wantsNew();
  $('like-made').checked = !wantsNew();
  const focused = list.contains(document.activeElement) ? document.activeElement.dataset.name : null;
  const now = surface && !wantsNew() ? surface.like?.from ?? surface.material : null;
  const likely = surface && !wantsNew() ? work.materials.filter((m) => meant(surface.name, m)) : [];
  const rest = work.materials.filter((m) => !likely.includes(m));
  list.replaceChildren(...[...likely, ...rest].map((material) => {
    const stripes = make('span', { className: 'stripes' }, ...material.typical.map((hex) => make('span', { colour: hex })));
    const words = make('span', {}, material.name, make('br'), make('span', { className: 'small', textContent: `${material.counted.split(',')[0]}${likely.includes(material) ? '; its name may mean this' : ''}` }));
    const b = make('button', { type: 'button', title: `${material.counted}. Cannot show: ${material.cannot_show}`, onclick: () => chosen(material) }, stripes, words);
    b.dataset.name = material.name;
    b.setAttribute('aria-pressed', String(material.name === now));
    return make('li', {}, b);
  }));
  if (focused) [...list.querySelectorAll('button')].find((b) => b.dataset.name === focused)?.focus({ preventScroll: true });
}

for (const id of ['like-made', 'like-new']) {
  $(id).addEventListener('change', () => {
    wishesNew = $('like-new').checked;
    showMaterials();
  });
}
