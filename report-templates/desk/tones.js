// Tones and first mixes of the surface at hand: asked for while it is drawn, and told row by row.
import { Newest, ask } from './ask.js';
import { button, make, percent, sentence, values } from './make.js';
import { inside } from './shapes.js';
import * as spine from './spine.js';
import * as doc from './work.js';

const { work } = doc;
const $ = (id) => document.getElementById(id);
const hooks = { rested: () => {}, say: () => {}, failed: () => {} };
/** Sets what is called when what moved rests, say(words), failed(problem). */
export const setHooks = (given) => Object.assign(hooks, given);

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
  tones: Number(surface.said.tones) || null,
  like: surface.like,
  shade: surface.said.shade || null,
  alike: surface.said.alike || null,
  rough,
  map: !rough,
});

/** The question as text: alike when nothing changed that tones hang on. */
const asText = (surface, what) => JSON.stringify([what, surface.parts.map((p) => work.photos.find((f) => f.key === p.photo)?.version ?? 0)]);

/** Asks for the tones of the surface at hand, if it is not as it was when they were told: at once while it moves, and finely as soon as it rests. */
export function askTones() {
  const surface = doc.current();
  if (!surface || doc.isKnown(surface)) return;
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
  hooks.rested();
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
    ? { told, n, quick, tones: answer.tones, not_found: answer.not_found ?? [], maps: answer.maps?.length ? answer.maps : null, two: answer.two ?? null, lost: [answer.blown_out, answer.crushed], recipes: before?.recipes ?? [], fresh: false }
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

/** Leaves a tone out of its surface, or makes another surface of it: by the pieces in which it is seen. */
async function apart(surface, i, another) {
  const asked = question(surface, false);
  try {
    const told = await ask('pieces', { ...asked, map: false, tone: i });
    if (!told || doc.current()?.id !== surface.id) return;
    if (!told.pieces.length) {
      hooks.say('it lies in specks too small to draw round');
      return;
    }
    doc.change(another ? 'made another surface' : 'left out', () => {
      for (const { part, outline } of told.pieces) doc.current().parts[part].leave_out.push({ was: null, outline });
      if (another) {
        const [largest] = told.pieces;
        doc.addSurface(structuredClone(largest.outline), [], null, largest.photo);
      }
    });
    doc.tell('all');
  } catch (problem) {
    hooks.failed(problem);
  }
}

/** What the plan would ask about a tone, asked where it can be seen; what is settled can be settled otherwise. */
function asksOf(tone, i, surface, shades) {
  if (tone.shade_of === null) return null;
  const now = tone.left_to_lamps ? 'join' : surface.said.shade === 'keep' ? 'keep' : '';
  const choice = (wish, words, label) => {
    const b = button(label, null, () => doc.change(words, () => { doc.current().said.shade = wish; }), `Tone ${i + 1}: ${label}`);
    b.setAttribute('aria-pressed', String(now === wish));
    return b;
  };
  const lit = `tone ${tone.shade_of + 1}`;
  return make('div', { className: 'asks' },
    make('p', { textContent: { join: `It is ${lit} in shadow, and not painted.`, keep: `It may be ${lit} in shadow; it is painted.`, '': `Is it only ${lit} in shadow?` }[now] }),
    choice('join', 'shadow left to the lamps', 'Leave it to the lamps'), choice('keep', 'shade kept as paint', 'Paint it'),
    shades > 1 ? make('p', { className: 'small', textContent: 'The same goes for all shades of this surface.' }) : null);
}

/** The border between two surfaces that the surface at hand seems to hold, on the photo at hand; null where none is asked about. */
export function border() {
  const surface = doc.current();
  const two = surface && answers.get(surface.id)?.two;
  const asked = two && !surface.said.one_surface && surface.treatment !== 'scatter';
  return asked && two.photo === doc.photo()?.key ? two.border : null;
}

const middle = (points) => [0, 1].map((c) => points.reduce((sum, p) => sum + p[c], 0) / points.length);

/** Makes two surfaces of one, by the outlines on either side of the border. */
function makeTwo(surface, { part, photo, outlines }) {
  doc.change('made two surfaces', () => {
    const here = doc.current().parts[part];
    const holes = here.leave_out.map((hole) => hole.outline);
    const inIt = (outline) => (hole) => [...hole, middle(hole)].some((at) => inside(at, outline));
    const { treatment } = surface;
    here.outline = outlines[0];
    here.leave_out = here.leave_out.filter((hole) => inIt(outlines[0])(hole.outline));
    doc.addSurface(outlines[1], holes.filter(inIt(outlines[1])), `${surface.name}, the other part`, photo).treatment = treatment;
  });
  doc.tell('all');
}

/** Whether it is one surface or two, asked where it is seen. */
function asksTwo(surface, { two, tones }) {
  if (!two || surface.treatment === 'scatter') return null;
  if (surface.said.one_surface) {
    return make('div', { className: 'asks' }, make('p', { textContent: 'It is one surface, though it looks like two.' }),
      button('Ask again', null, () => doc.change('asked again', () => { doc.current().said.one_surface = ''; })));
  }
  const [here, there] = { left: ['left', 'right'], above: ['above', 'below'] }[two.side];
  const [one, other] = two.tones.map((t) => `${tones[t].name} (${t + 1})`);
  return make('div', { className: 'asks', id: 'two' },
    make('p', { textContent: `Two surfaces in one outline? ${sentence(`${here} of the dashed line mostly ${one}, ${there} mostly ${other}`)}` }),
    two.outlines ? button('Make them two', null, () => makeTwo(surface, two)) : make('p', { className: 'small', textContent: 'The line cuts it into more than two: outline the other one by hand.' }),
    button('No, one surface', null, () => doc.change('one surface', () => { doc.current().said.one_surface = 'yes'; })));
}

/** Which tones are said to be one: groups of the colours that name them. */
const groupsOf = (surface) => surface.said.alike.split(';').map((group) => group.trim().split(/\s+/).filter(Boolean)).filter((group) => group.length > 1);
const sayAlike = (words, groups) => doc.change(words, () => { doc.current().said.alike = groups.map((group) => group.join(' ')).join('; '); });

/** The tone, by its surface and place, that is to be one with another; null when none is. */
let joining = null;
/** The button, by the beginning of its name, that is to be in focus once there is one. */
let toFocus = null;

/** The colours that name a tone: its own, or those of the tones it was made of. */
function namesOf(tone, surface, held_) {
  if (tone.joined.length) return tone.joined.map((part) => part.hex);
  const missing = held_.not_found.flatMap((of) => of.missing);
  const named = tone.named_by.flatMap((at) => groupsOf(surface)[at] ?? []).filter((hex) => !missing.includes(hex));
  return named.length ? named : [tone.hex];
}

/** Says that two tones are one. */
function join(surface, held_, i, k) {
  const pair = [held_.tones[i], held_.tones[k]];
  const gone = new Set(pair.flatMap((tone) => tone.named_by));
  const one = [...new Set(pair.flatMap((tone) => namesOf(tone, surface, held_)))];
  joining = null;
  toFocus = 'Apart again';
  spine.point(null);
  sayAlike('two tones made one', [...groupsOf(surface).filter((_, at) => !gone.has(at)), one]);
}

/** Of a tone that is to be one with another: which other. */
function chooser(surface, held_, i) {
  const chip = (tone, k) => {
    const b = make('button', { type: 'button', className: tone.lab[0] > 49.5 ? 'dark' : '', textContent: k + 1, onclick: () => join(surface, held_, i, k) });
    b.style.backgroundColor = tone.hex;
    b.setAttribute('aria-label', `${k + 1}: tone ${i + 1} is one with ${tone.name}, ${percent(tone.share)}`);
    for (const [event, lit] of [['pointerenter', k], ['pointerleave', null], ['focus', k], ['blur', null]]) b.addEventListener(event, () => spine.point(lit));
    return b;
  };
  return make('div', { className: 'asks' },
    make('p', { textContent: 'Which tone is it one with?' }),
    make('div', { className: 'chips' }, ...held_.tones.map((tone, k) => (k === i ? null : chip(tone, k)))),
    button('None of them', null, () => { joining = null; toFocus = `Tone ${i + 1}: One with`; showTones(); }));
}

/** What a tone was made of, and the way back. */
function madeOf(tone, i, surface) {
  if (!tone.joined.length) return null;
  const parts = tone.joined.map((part) => make('span', { className: 'part' }, make('i', { colour: part.hex }), percent(part.share)));
  return make('div', { className: 'made' },
    make('p', {}, 'Made of ', ...parts),
    button('Apart again', null, () => {
      toFocus = `Tone ${i + 1}: One with`;
      sayAlike('tones apart again', groupsOf(surface).filter((_, at) => !tone.named_by.includes(at)));
    }, `Apart again: the ${tone.joined.length} that tone ${i + 1} is made of`));
}

/** What was said to be one and is not there any more. */
function notFound({ named, missing }, surface) {
  const forget = () => sayAlike('what was one forgotten', groupsOf(surface).filter((group) => group.join(' ') !== named.join(' ')));
  return make('div', { className: 'asks' },
    make('p', { textContent: `You made ${named.join(', ')} one tone; no tone is near ${missing.join(', ')} any more.` }),
    button('Forget that', null, forget, `Forget that ${named.join(', ')} are one`));
}

/** What can be done with a tone. */
function toneActions(surface, held_, i) {
  if (held_.tones.length < 2 || surface.like) return null;
  if (joining?.surface === surface.id && joining.tone === i) return chooser(surface, held_, i);
  const choose = () => {
    joining = { surface: surface.id, tone: i };
    toFocus = held_.tones.length > 1 ? `${i === 0 ? 2 : 1}: tone` : null;
    showTones();
  };
  return make('p', { className: 'apart' },
    button('One with …', null, choose, `Tone ${i + 1}: One with …`),
    button('Leave out', null, () => apart(surface, i, false), `Leave tone ${i + 1} out: Leave out`),
    button('Another surface', null, () => apart(surface, i, true), `Make tone ${i + 1} another surface: Another surface`));
}

function toneRow(tone, i, recipe, { fresh, seen, surface, held_, shades }) {
  const [parts, closeness] = recipe ? recipeWords(recipe) : ['', ''];
  return make('li', { className: 'tone' },
    make('div', { className: 'swatches' },
      swatch(tone.hex, `${seen} ${tone.hex}`), swatch(tone.planned_hex, `planned ${tone.planned_hex}`), swatch(recipe?.hex, recipe ? `mix ${recipe.hex}` : 'mix')),
    make('p', {}, `${i + 1} · `, make('b', { textContent: tone.name }), ` · ${percent(tone.share)} · ${tone.role}`),
    recipe ? make('p', { className: fresh ? 'mix' : 'mix old' }, parts, make('br'), make('span', { className: 'small', textContent: closeness })) : null,
    asksOf(tone, i, surface, shades),
    madeOf(tone, i, surface),
    toneActions(surface, held_, i),
    make('p', { className: 'small', textContent: `planned ${values(tone.planned_hex, tone.planned)}` }));
}

/** One tone more or fewer. */
function counts(surface, n) {
  const set = (count, words) => () => doc.change(words, () => { surface.said.tones = count; });
  return make('div', { className: 'actions' },
    button('One more tone', null, set(String(Math.min(24, n + 1)), 'one more tone')),
    n > 1 ? button('One fewer', null, set(String(n - 1), 'one tone fewer')) : null,
    surface.said.tones ? button('As many as it takes', null, set('', 'as many tones as it takes')) : null,
    surface.said.shade ? button('Ask about shadows again', null, () => doc.change('shades asked again', () => { surface.said.shade = ''; })) : null);
}

export function showTones() {
  const box = $('tones');
  const surface = doc.current();
  if (doc.isKnown(surface)) spine.show(null);
  if (!box || !surface) return;
  const held_ = answers.get(surface.id);
  spine.show(held_ ?? null);
  if (!held_) {
    box.replaceChildren(make('p', { className: 'small', textContent: 'Counting…' }));
    return;
  }
  const rows = [];
  const seen = surface.like ? 'as measured' : 'in the photo';
  if (held_.problem) {
    rows.push(make('p', { className: 'notice' }, /crossing/.test(held_.problem.message)
      ? 'Its outline crosses itself: drag back one of the corners by the red line. You can save all the rest.'
      : `${sentence(held_.problem.message)} ${held_.problem.hint ?? ''}`));
  }
  if (held_.tones) {
    const [blown, crushed] = held_.lost;
    rows.push(make('p', { className: 'heads' }, make('span', { textContent: seen }), make('span', { textContent: 'planned' }), make('span', { textContent: 'first mix' })));
    const shades = held_.tones.filter((t) => t.shade_of !== null).length;
    rows.push(asksTwo(surface, held_) ?? '');
    rows.push(...(held_.not_found ?? []).map((of) => notFound(of, surface)));
    const about = { fresh: held_.fresh, seen, surface, held_, shades };
    rows.push(make('ol', {}, ...held_.tones.map((t, i) => toneRow(t, i, t.left_to_lamps ? null : mixFor(t, held_, i), about))));
    // Counted as they are before any are made one.
    rows.push(counts(surface, held_.tones.reduce((sum, tone) => sum + Math.max(1, tone.joined.length), 0)));
    if (blown + crushed > 0.02) rows.push(make('p', { className: 'small', textContent: `Not counted: ${percent(blown)} blown out, ${percent(crushed)} crushed to black.` }));
    if (surface.in_bands || surface.zones.some((z) => z.kind === 'band')) rows.push(make('p', { className: 'small', textContent: 'It is planned band by band: the schedule has each band’s colours.' }));
    if (work.mixes) rows.push(make('p', { className: 'small', textContent: `No mixes: ${work.mixes}.` }));
    rows.push(make('p', { className: 'small', textContent: held_.quick ? 'Moving: all pixels count as soon as it rests.' : 'Screens shift colour: trust the dried patch.' }));
  }
  const called = (b) => b.getAttribute('aria-label') ?? b.textContent;
  const focused = box.contains(document.activeElement) ? called(document.activeElement) : null;
  const tones_ = make('div', { className: held_.problem && held_.tones ? 'tones old' : 'tones' }, ...rows);
  box.replaceChildren(tones_);
  const buttons = [...box.querySelectorAll('button')];
  const next = toFocus && buttons.find((b) => called(b).startsWith(toFocus));
  if (next) toFocus = null;
  (next ?? (focused ? buttons.find((b) => called(b) === focused) : null))?.focus({ preventScroll: !next });
}


/** Mixes are sought anew: the paints are others. */
export function forgetMixes() {
  answers.clear();
  askTones();
}

/** Brings the row of a tone into view, where one says what is to become of it. */
export function toRow(tone) {
  document.querySelectorAll('.tone')[tone]?.scrollIntoView({ block: 'nearest' });
}

/** The row of the tone that is lit stands out. */
export function lightRow(tone) {
  document.querySelectorAll('.tone').forEach((row, i) => row.classList.toggle('lit', i === tone));
}
