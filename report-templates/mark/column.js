// The column: the surface at hand with its tones and mixes, the light of the photo, the list of surfaces, the loupe.
import { Newest } from './ask.js';
import { counted, likeWords } from './materials.js';
import * as doc from './work.js';

const { work } = doc;
const $ = (id) => document.getElementById(id);

/** An element with properties, and what is in it. */
export function make(name, properties = {}, ...inside) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(properties)) {
    if (key === 'colour') element.style.backgroundColor = value;
    else if (key.includes('-')) element.setAttribute(key, value);
    else element[key] = value;
  }
  element.append(...inside.filter((i) => i !== null));
  return element;
}

const percent = (share) => {
  const p = 100 * share;
  return p > 0 && p < 1 ? 'under 1 %' : `${Math.round(p)} %`;
};
const lab = (v) => v.map((n) => Math.round(n) + 0);
const values = (hex, v) => {
  const [l, a, b] = lab(v);
  return `${hex} · L* ${l} a* ${a} b* ${b}`;
};

const hooks = {};
/** Sets what buttons of the column do. */
export const setHooks = (given) => Object.assign(hooks, given);

// Fields of the surface at hand.

let held;
/** The fields and buttons; made anew only when another surface is at hand, so that typing is not disturbed. */
export function showHand(force = false) {
  const surface = doc.current();
  const key = `${surface?.id}|${doc.photo()?.key}|${surface?.parts.length}|${Boolean(doc.part())}`;
  if (!force && key === held) {
    showShape();
    return;
  }
  held = key;
  const hand = $('hand');
  if (!surface) {
    hand.replaceChildren(
      make('h2', { textContent: 'Surface at hand' }),
      make('p', { textContent: work.surfaces.length ? 'None. Click one on the photo, or draw another.' : 'None yet. Draw one on the photo.' }),
    );
    return;
  }
  const name = make('input', { type: 'text', id: 'name', value: surface.name, autocomplete: 'off', maxLength: 120 });
  name.addEventListener('focus', () => doc.begin('name'));
  name.addEventListener('input', () => {
    surface.name = name.value;
    doc.tell('named');
  });
  name.addEventListener('change', () => {
    if (!name.value.trim()) {
      surface.name = surface.was ?? 'Surface';
      name.value = surface.name;
    }
    doc.end();
    doc.begin('name');
  });
  name.addEventListener('blur', () => doc.end());
  const treatment = make('select', { id: 'treatment' }, ...[
    ['coat', 'Paint (coat)'], ['rock', 'Rock'], ['scatter', 'Scatter'], ['wash', 'Wash alone'],
  ].map(([value, words]) => make('option', { value, textContent: words, selected: surface.treatment === value })));
  treatment.addEventListener('change', () => doc.change('treatment', () => { surface.treatment = treatment.value; }));
  const area = make('input', { type: 'text', id: 'area', value: surface.area, autocomplete: 'off', placeholder: '310 cm2', maxLength: 40 });
  area.addEventListener('change', () => doc.change('area', () => { surface.area = area.value; }));
  const key_ = (words) => make('kbd', { textContent: words });
  hand.replaceChildren(
    make('h2', { textContent: 'Surface at hand' }),
    make('div', { className: 'fields' },
      make('label', { className: 'whole' }, make('span', {}, 'Name ', key_('E')), name),
      make('label', {}, make('span', { textContent: 'Treatment' }), treatment),
      make('label', {}, make('span', { textContent: 'Area on the model' }), area)),
    make('div', { id: 'zone', className: 'fields' }),
    make('p', { id: 'shape', className: 'small' }),
    make('div', { className: 'actions', id: 'hand-actions' }),
    make('div', { id: 'tones' }),
  );
  showShape();
  showTones();
}

function deleteWords(surface) {
  const one = doc.shape();
  if (one) return { band: 'Delete band', place: 'Delete place' }[one.kind] ?? 'Delete leave-out';
  return surface.parts.length > 1 ? 'Delete this part' : 'Delete surface';
}

/** The name of a band or a place at hand; its field is made anew only when another is at hand. */
function showZone() {
  const box = $('zone');
  const zone = doc.shape()?.kind ? doc.shape() : null;
  if (box.dataset.id === String(zone?.id)) return;
  box.dataset.id = zone?.id;
  if (!zone) {
    box.replaceChildren();
    return;
  }
  const name = make('input', { type: 'text', id: 'zone-name', value: zone.name, autocomplete: 'off', maxLength: 120 });
  name.addEventListener('change', () => {
    const { id } = zone;
    const words = name.value.trim() || zone.name;
    name.value = words;
    doc.change('name', () => { doc.current().zones.find((z) => z.id === id).name = words; });
  });
  box.replaceChildren(make('label', { className: 'whole' }, make('span', {}, zone.kind === 'band' ? 'Name of the band ' : 'Name of the place ', make('kbd', { textContent: 'E' })), name));
}

/** What of the surface is at hand, and what can be done with it. */
function showShape() {
  const surface = doc.current();
  const shape = $('shape');
  if (!surface || !shape) return;
  showZone();
  const here = doc.part();
  const points = doc.outline();
  const actions = $('hand-actions');
  const button = (words, key, act, label) => {
    const b = make('button', { type: 'button', onclick: act }, `${words} `, key ? make('kbd', { textContent: key }) : '');
    if (label) b.setAttribute('aria-label', label);
    return b;
  };
  let focused = actions.contains(document.activeElement) ? document.activeElement.textContent : null;
  if (surface.like) {
    shape.textContent = `No photo: like ${likeWords(surface)}.`;
    actions.replaceChildren(button('Delete surface', 'Del', hooks.removeShape));
  } else if (!here) {
    const where = [...new Set(surface.parts.map((p) => p.photo))];
    shape.textContent = `Drawn on ${where.map((w) => `“${w}”`).join(', ')}.`;
    actions.replaceChildren(
      button('Show it there', '', () => hooks.goTo(where[0])),
      button('Draw it here too', '', () => hooks.alsoHere()),
    );
  } else {
    const corner = work.corner === null ? `${points?.length ?? 0} corners` : `corner ${work.corner + 1} of ${points.length}`;
    const left = work.shape < 0 && here.leave_out.length ? `, ${here.leave_out.length} left out of it` : '';
    const made = surface.material ? ` Made of ${surface.material} (${counted(surface.material)}).` : '';
    shape.textContent = `${doc.shapeWords()}: ${corner}${left}.${made}`;
    actions.replaceChildren(...[
      work.corner !== null && points.length > 3 ? button('Delete corner', 'Del', hooks.removeCorner) : null,
      work.corner === null || points.length <= 3
        ? button(deleteWords(surface), 'Del', hooks.removeShape) : null,
      doc.shapes(surface, work.part).length ? button('Next shape', 'M', hooks.nextShape) : null,
    ].filter(Boolean));
  }
  if (focused) [...actions.children].find((b) => b.textContent === focused)?.focus();
}

// Tones and mixes.

const moving = new Newest('tones');
const settled = new Newest('tones');
const recipes = new Newest('recipes');
/** The last answer by surface: tones, mixes, or a problem. */
const answers = new Map();
/** Questions are counted, so that an answer never takes the place of that to a later question. */
let questions = 0;
/** So long must the pointer rest (ms) before tones are counted finely and chosen anew. */
const REST = 100;
let rest = 0;
/** What the settled answer on its way is to. */
let settling = null;

const question = (surface, rough) => ({
  surface: surface.id,
  was: surface.was,
  parts: surface.parts.map((p) => ({ photo: p.photo, outline: p.outline, leave_out: p.leave_out })),
  tones: surface.tones,
  like: surface.like,
  rough,
});

/** The question as text: alike when nothing changed that tones hang on. */
const asText = (surface, what) => JSON.stringify([what, surface.parts.map((p) => work.photos.find((f) => f.key === p.photo)?.version ?? 0)]);

/** Asks for the tones of the surface at hand, if it is not as it was when they were told: at once while it moves, and finely as soon as it rests. */
export function askTones() {
  const surface = doc.current();
  if (!surface) return;
  const rough = work.dragging && Boolean(answers.get(surface.id)?.tones);
  const what = question(surface, rough);
  const told = asText(surface, what);
  clearTimeout(rest);
  if (rough) rest = setTimeout(() => askSettled(doc.current()), REST);
  if (answers.get(surface.id)?.told === told) {
    showTones();
    return;
  }
  if (!rough) {
    askSettled(surface);
    return;
  }
  const asked = performance.now();
  const n = (questions += 1);
  moving.put(what, (answer, problem) => take(surface.id, { told, n, answer, problem, quick: true, asked }));
}

function askSettled(surface) {
  if (!surface) return;
  if (held_at) showColour(held_at);
  const what = question(surface, false);
  const told = asText(surface, what);
  if (settling === told || answers.get(surface.id)?.told === told) return;
  settling = told;
  recipes.drop();
  const asked = performance.now();
  const n = (questions += 1);
  settled.put(what, (answer, problem) => {
    if (settling === told) settling = null;
    const now = work.surfaces.find((s) => s.id === surface.id);
    // What has moved on meanwhile is asked about again.
    if (now && asText(now, question(now, false)) === told) take(surface.id, { told, n, answer, problem, quick: false, asked });
  });
}

/** Takes an answer in, unless a later question has been answered already. */
function take(id, { told, n, answer, problem, quick, asked }) {
  const before = answers.get(id);
  if (before && before.n > n) return;
  answers.set(id, answer
    ? { told, n, quick, tones: answer.tones, lost: [answer.blown_out, answer.crushed], recipes: before?.recipes ?? [], fresh: false }
    : { ...before, told, n, problem });
  if (work.surface !== id) return;
  showTones();
  document.dispatchEvent(new CustomEvent('tones', { detail: { asked, quick } }));
  if (answer) askRecipes(id);
}

/** While dragging, a mix is sought again when its colour has gone so far (CIELAB). */
const GONE_FAR = 1;
const away = (a, b) => Math.hypot(...a.map((v, c) => v - b[c]));

function askRecipes(id) {
  const held_ = answers.get(id);
  if (work.mixes || !held_?.tones) return;
  // While dragging, a simple mix of the largest tone will do: looking for all of them would hold up the tones.
  const wanted = held_.quick ? held_.tones.slice(0, 1) : held_.tones;
  if (held_.quick && held_.recipes.some((r) => away(r.planned, wanted[0].planned) < GONE_FAR)) return;
  recipes.put({ colours: wanted.map((t) => t.planned), quick: held_.quick }, (answer) => {
    const now = answers.get(id);
    if (!answer || !now) return;
    const found = answer.recipes.map((recipe, i) => ({ planned: wanted[i].planned, recipe }));
    if (held_.quick && !now.fresh) now.recipes = [...found, ...now.recipes].slice(0, 24);
    else if (!held_.quick) Object.assign(held_, { recipes: found, fresh: true });
    if (work.surface === id && (held_.quick || now === held_)) showTones();
    document.dispatchEvent(new CustomEvent('recipes'));
  });
}

function swatch(hex, words) {
  const s = make('span', { title: words });
  s.style.backgroundColor = hex ?? 'transparent';
  return s;
}

function recipeWords(recipe) {
  const parts = recipe.paints.map((p) => `${p.parts} ${p.name}`).join(' + ');
  return [parts, `${recipe.words} (ΔE00 ${recipe.de2000.toFixed(1)}, expect about ${Math.round(Math.hypot(recipe.de2000, recipe.uncertainty))} at the bench)`];
}

/** Beyond this distance (CIELAB) a mix of a moment ago is no mix for a tone of now. */
const STILL_NEAR = 5;

/** The mix for a tone: its own, or while that is being looked for, the one of a moment ago for nearly that colour. */
function mixFor(tone, held_, i) {
  if (held_.fresh) return held_.recipes[i]?.recipe;
  const off = (r) => away(r.planned, tone.planned);
  const nearest = [...held_.recipes].sort((a, b) => off(a) - off(b))[0];
  return nearest && off(nearest) < STILL_NEAR ? nearest.recipe : null;
}

function toneRow(tone, recipe, fresh, seen) {
  const [parts, closeness] = recipe ? recipeWords(recipe) : ['', ''];
  return make('li', { className: 'tone' },
    make('div', { className: 'swatches' },
      swatch(tone.hex, `${seen} ${tone.hex}`), swatch(tone.planned_hex, `planned ${tone.planned_hex}`), swatch(recipe?.hex, recipe ? `mix ${recipe.hex}` : 'mix')),
    make('p', {}, make('b', { textContent: tone.name }), ` · ${percent(tone.share)} · ${tone.role}`),
    tone.left_to_lamps ? make('p', { textContent: `Shade of tone ${tone.shade_of + 1}: left to the lamps, not painted` }) : null,
    recipe ? make('p', { className: fresh ? 'mix' : 'mix old' }, parts, make('br'), make('span', { className: 'small', textContent: closeness })) : null,
    make('p', { className: 'small', textContent: `planned ${values(tone.planned_hex, tone.planned)}` }));
}

export function showTones() {
  const box = $('tones');
  const surface = doc.current();
  if (!box || !surface) return;
  const held_ = answers.get(surface.id);
  if (!held_) {
    box.replaceChildren(make('p', { className: 'small', textContent: 'Counting…' }));
    return;
  }
  const rows = [];
  const seen = surface.like ? 'as measured' : 'in the photo';
  if (held_.problem) {
    rows.push(make('p', { className: 'notice' }, `${held_.problem.message[0].toUpperCase()}${held_.problem.message.slice(1)}. `, held_.problem.hint ?? ''));
  }
  if (held_.tones) {
    const bar = make('div', { className: 'bar', role: 'img', 'aria-label': `Tones by share: ${held_.tones.map((t) => `${t.name} ${percent(t.share)}`).join(', ')}` });
    for (const t of held_.tones) {
      const s = swatch(t.hex, `${t.name} ${percent(t.share)}`);
      s.style.flexGrow = t.share;
      bar.append(s);
    }
    const [blown, crushed] = held_.lost;
    rows.push(bar, make('p', { className: 'heads' }, make('span', { textContent: seen }), make('span', { textContent: 'planned' }), make('span', { textContent: 'first mix' })));
    rows.push(make('ol', {}, ...held_.tones.map((t, i) => toneRow(t, t.left_to_lamps ? null : mixFor(t, held_, i), held_.fresh, seen))));
    if (blown + crushed > 0.02) rows.push(make('p', { className: 'small', textContent: `Not counted: ${percent(blown)} blown out, ${percent(crushed)} crushed to black.` }));
    if (surface.in_bands || surface.zones.some((z) => z.kind === 'band')) rows.push(make('p', { className: 'small', textContent: 'It is planned band by band: the schedule has each band’s colours.' }));
    if (work.mixes) rows.push(make('p', { className: 'small', textContent: `No mixes: ${work.mixes}.` }));
    rows.push(make('p', { className: 'small', textContent: held_.quick ? 'Moving: counted in full as soon as it rests.' : 'Screens shift colour: trust the dried patch.' }));
  }
  const tones_ = make('div', { className: held_.problem && held_.tones ? 'tones old' : 'tones' }, ...rows);
  box.replaceChildren(tones_);
}

// The light, the list, the loupe.

export function showLight() {
  const photo = doc.photo();
  const box = $('light');
  if (!photo) return;
  const known = photo.light.chart || photo.light.neutral;
  box.replaceChildren(
    make('h2', { textContent: 'Light of this photo' }),
    make('p', { textContent: photo.about ? `${photo.about.words[0].toUpperCase()}${photo.about.words.slice(1)}; colours may be off by about ΔE00 ${Math.round(photo.about.uncertainty)}.` : '' }),
    ...(photo.about?.warnings ?? []).map((w) => make('p', { className: 'small', textContent: `${w[0].toUpperCase()}${w.slice(1)}.` })),
    make('button', {
      type: 'button', onclick: known || photo.light.estimate ? hooks.forgetLight : hooks.estimateLight,
      textContent: photo.light.chart ? 'Forget the chart' : known ? 'Forget the neutral' : photo.light.estimate ? 'Forget the estimate' : 'Estimate it from the photo',
    }),
  );
}

export function showList() {
  const list = $('surfaces');
  const focused = list.contains(document.activeElement) ? document.activeElement.dataset.id : null;
  list.replaceChildren(...work.surfaces.map((s) => {
    const where = [...new Set(s.parts.map((p) => p.photo))].join(', ');
    const b = make('button', { type: 'button', onclick: () => hooks.choose(s) },
      make('span', { textContent: s.name }), make('span', { className: 'small', textContent: s.like ? `${s.treatment}, without a photo` : `${s.treatment}, on ${where}` }));
    b.dataset.id = s.id;
    if (s.id === work.surface) b.setAttribute('aria-current', 'true');
    return make('li', {}, b);
  }));
  if (focused) [...list.querySelectorAll('button')].find((b) => b.dataset.id === focused)?.focus({ preventScroll: true });
  $('none').hidden = work.surfaces.length > 0;
}

const pointed = new Newest('colour');
/** A point whose colour waits until what is dragged rests. */
let held_at = null;
/** Shows the colour at a point of the photo; while something is dragged, once it rests. */
export function showColour(at) {
  const photo = doc.photo();
  if (!photo) return;
  held_at = work.dragging && at !== held_at ? at : null;
  if (held_at) return;
  pointed.put({ photo: photo.key, at }, (told) => {
    if (!told) return;
    $('loupe-name').textContent = told.name;
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
