// The card: what the surface at hand is, how it is treated, and what lies in it.
import { cleanModel } from './clean.js';
import { button, key, make } from './make.js';
import { counted, likeWords } from './materials.js';
import { showTones } from './tones.js';
import { areaWords } from './shapes.js';
import { askWall } from './wall.js';
import * as doc from './work.js';

const { work } = doc;
const $ = (id) => document.getElementById(id);

const hooks = {};
/** Sets what buttons of the card do. */
export const setHooks = (given) => Object.assign(hooks, given);

/** What the page calls a key: what its fields said when they were shown last. */
const LABELS = new Map([['area', 'area on the model'], ['from', 'how far off'], ['name', 'its name']]);
export const labelOf = (name) => LABELS.get(name) ?? name.replaceAll('_', ' ');

/** A labelled field for one key of what is said; `of` finds where it is said. */
export function said(words, name, of, { whole = false, choices = null, placeholder = '', read = (v) => v, show = (v) => v } = {}) {
  const now = show(of().said[name] ?? '');
  LABELS.set(name, words);
  const field = choices
    ? make('select', {}, ...choices.map(([value, text]) => make('option', { value, textContent: text, selected: value === now })))
    : make('input', { type: 'text', value: now, placeholder, autocomplete: 'off', maxLength: 120 });
  field.addEventListener('change', () => doc.change(words.toLowerCase(), () => { of().said[name] = read(field.value.trim()); }));
  field.dataset.said = name;
  return make('label', { className: whole ? 'whole' : '' }, make('span', { textContent: words }), field);
}

let held;
/** The fields and buttons; made anew only when another surface is at hand, so that typing is not disturbed. */
export function showHand(force = false) {
  const surface = doc.current();
  const what = `${surface?.id}|${surface?.treatment}|${surface?.material}|${JSON.stringify(surface?.like ?? null)}|${Boolean(surface?.said.wash)}|${doc.photo()?.key}|${surface?.parts.length}|${surface?.loose.length}|${Boolean(doc.part())}`;
  // What is being typed into stays, whatever answer comes in meanwhile.
  const typing = $('hand').contains(document.activeElement) && document.activeElement.matches('input[type="text"]');
  if (what === held && (typing || !force)) {
    showShape();
    return;
  }
  held = what;
  if (!surface) {
    $('hand').replaceChildren(
      make('h2', { textContent: 'Nothing chosen' }),
      make('p', { textContent: work.surfaces.length ? 'Click a wall or a hill on the photo, or rub another.' : work.photos.length ? 'Rub a wall on the photo, as you would with a finger: the outline takes in what is like it.' : 'Photos first.' }),
    );
    return;
  }
  const tail = [make('h3', { textContent: 'What is drawn' }), make('ol', { id: 'drawn' }), make('p', { id: 'shape', className: 'small' }), make('div', { className: 'actions', id: 'hand-actions' })];
  if (doc.isKnown(surface)) {
    $('hand').replaceChildren(make('h2', { textContent: surface.material ?? 'What is it made of?' }), make('div', { className: 'fields' }, treatmentField(surface)), ...madeOf(surface), ...tail);
    showShape();
    showTones();
    return;
  }
  $('hand').replaceChildren(
    nameField(surface),
    make('div', { className: 'fields' }, treatmentField(surface), areaField(surface)),
    ...(surface.like ? [between()] : []),
    make('div', { id: 'zone', className: 'fields' }),
    make('div', { id: 'tones' }),
    make('div', { id: 'dirt' }, ...dirt(surface)),
    looseZones(surface),
    seldomSaid(surface),
    cleanModel(said, more),
    ...tail,
  );
  showShape();
  showTones();
  askWall();
}

function nameField(surface) {
  const name = make('input', { type: 'text', id: 'name', 'data-said': 'name', value: surface.name, autocomplete: 'off', maxLength: 120, 'aria-label': 'Name' });
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
  return name;
}

function treatmentField(surface) {
  const treatment = make('select', { id: 'treatment' }, ...[
    ['coat', 'paint'], ['rock', 'rock'], ['scatter', 'scatter'], ['wash', 'a wash alone'],
    // Only what is seen in a photo tells its light.
    ...(surface.parts.length ? [['known', 'not painted: it shows the light']] : []),
  ].map(([value, words]) => make('option', { value, textContent: words, selected: surface.treatment === value })));
  treatment.addEventListener('change', () => doc.change('treatment', () => {
    surface.treatment = treatment.value;
    if (treatment.value === 'wash') surface.said.wash = 'yes';
    hooks.bandsOf(surface);
  }));
  return make('label', { className: doc.isKnown(surface) ? 'whole' : '' }, make('span', { textContent: 'it is' }), treatment);
}

/** A choice of measured materials. */
function materialField(words, now, none, chosen) {
  const field = make('select', {}, make('option', { value: '', textContent: none, selected: !now }),
    ...work.materials.map(({ name }) => make('option', { value: name, textContent: name, selected: name === now })));
  field.addEventListener('change', () => chosen(field.value));
  return make('label', { className: 'whole' }, make('span', { textContent: words }), field);
}

/** What something is made of that only tells the photo's light. */
function madeOf(surface) {
  return [
    make('div', { className: 'fields' }, materialField('made of', surface.material, 'choose', (name) => {
      doc.change('what it is made of', () => {
        const here = doc.current();
        here.material = name || null;
        if (name) here.name = doc.freeName(name);
      });
      doc.tell('all');
    })),
    make('p', { className: 'small', textContent: surface.material ? 'Its known colour corrects the photo.' : 'Until you say that, the file does not keep it.' }),
  ];
}

/** A state between two measured materials. */
function between() {
  const of = () => doc.current();
  const { from, to, at } = of().like;
  const say = (words, like) => {
    doc.change(words, () => { of().like = like; });
    doc.tell('all');
  };
  const other = materialField(`from ${from}, on the way to`, to, 'nothing else', (name) => say('on the way to', name && name !== from ? { from, to: name, at: at ?? 0.5 } : { from }));
  if (!to) return make('div', { className: 'fields' }, other);
  const words = (v) => `${Math.round(100 * v)} % of the way`;
  const dial = make('input', { type: 'range', id: 'between', min: 0, max: 1, step: 0.05, value: at ?? 0.5, 'aria-label': `How far from ${from} to ${to}` });
  const told = make('span', { textContent: words(Number(dial.value)) });
  dial.addEventListener('input', () => { told.textContent = words(Number(dial.value)); });
  dial.addEventListener('change', () => say('how far', { from, to, at: Number(dial.value) }));
  return make('div', {}, make('div', { className: 'fields' }, other), make('div', { className: 'grime' }, dial, told));
}

function areaField(surface) {
  const area = make('input', { type: 'text', id: 'area', 'data-said': 'area', value: surface.area, autocomplete: 'off', placeholder: '310 cm2, or 30 x 12 cm', maxLength: 60 });
  area.addEventListener('change', () => {
    const words = areaWords(area.value);
    area.value = words;
    doc.change('area', () => { surface.area = words; });
  });
  return make('label', {}, make('span', { textContent: 'area on the model' }), area);
}

/** Base coat and grime of what is painted. */
function dirt(surface) {
  if (surface.treatment === 'scatter') return [];
  const of = () => doc.current();
  const has = Boolean(surface.said.wash);
  const heading = make('h3', { textContent: 'Grime' });
  if (!has) return [heading, button('Wash it: grime, soot, mortar in the joints', null, () => doc.change('washed', () => { Object.assign(of().said, { wash: 'yes', grime: '1' }); }))];
  const words = (v) => (v === 0 ? 'none' : v === 1 ? 'as photographed' : `${Math.round(100 * v)} %`);
  const dial = make('input', { type: 'range', id: 'grime', min: 0, max: 1.5, step: 0.05, value: surface.said.grime || 1, 'aria-label': 'How much of the photographed grime' });
  const told = make('span', { textContent: words(Number(dial.value)) });
  dial.addEventListener('input', () => {
    told.textContent = words(Number(dial.value));
    askWall(Number(dial.value));
  });
  dial.addEventListener('change', () => doc.change('grime', () => { of().said.grime = String(Number(dial.value)); }));
  return [heading,
    make('div', { className: 'grime' }, dial, told),
    make('div', { id: 'wall' }),
    make('div', { className: 'fields' }, said('over which base coat', 'base', of, { whole: true, placeholder: 'its own body colour; or #a4523a, or a paint’s name' })),
    moreOfWash(of),
    surface.treatment === 'wash' ? '' : button('No wash', null, () => doc.change('no wash', () => { of().said.wash = ''; }))];
}

function deleteWords(surface) {
  const one = doc.shape();
  if (one) return { band: 'Delete band', place: 'Delete place' }[one.kind] ?? 'Delete leave-out';
  return surface.parts.length > 1 ? 'Delete this part' : doc.isKnown(surface) ? 'Delete it' : 'Delete surface';
}

const LANDS = [['', 'by its name'], ['grass', 'grass'], ['heath', 'heath'], ['wood', 'wood'], ['scree', 'scree'], ['earth', 'earth'], ['any', 'anything']];
const VARIETY = [['', 'where they clearly differ'], ['true', 'yes, even if they differ little'], ['false', 'no']];
const ORDERS = [['', 'coarse first'], ['fine-first', 'fine first']];

/** What is seldom said, folded away. */
const more = (words, fields) => make('details', { className: 'more' }, make('summary', { textContent: words }), make('div', { className: 'fields' }, ...fields));

function seldomSaid(surface) {
  const of = () => doc.current();
  if (surface.treatment === 'scatter') {
    return more('More of what grows there', [
      said('what grows there', 'land', of, { choices: LANDS }),
      said('width of the crowns', 'crown', of, { placeholder: '6 m' }),
      said('strewn first', 'order', of, { choices: ORDERS }),
      said('also allow', 'allow', of, { placeholder: 'leaf, needle' }),
    ]);
  }
  return surface.treatment === 'coat' ? more('More of the paint', [
    said('coats', 'coats', of, { placeholder: '2' }),
    said('pick out single bricks, stones or boards', 'variety', of, { choices: VARIETY }),
  ]) : '';
}

/** What is seldom said of a wash. */
function moreOfWash(of) {
  return more('More of the wash', [
    said('flats should be', 'flat', of, { placeholder: 'as in the photo; or #6d4030' }),
    said('joints should be', 'recess', of, { placeholder: 'as in the photo; or #3f332c' }),
    said('times as thick in joints', 'pool', of, { placeholder: '4' }),
    said('thickness compared with a brushed coat', 'film', of, { placeholder: '0.5, or as your patches show' }),
    said('paints in it at most', 'most_paints', of, { placeholder: '2' }),
    said('weight of joints against flats', 'recess_weight', of, { placeholder: '1' }),
  ]);
}

const TECHNIQUES = [['', 'by its name'], ['wash', 'wash'], ['pin-wash', 'pin wash'], ['filter', 'filter'], ['dry-brush', 'dry brush'], ['stipple', 'stipple'], ['streak', 'streak'], ['powder', 'powder']];
const inPercent = (v) => (v === '' ? '' : `${Number((100 * Number(v)).toFixed(1))} %`);
const ofPercent = (v) => (v === '' ? '' : String(Number(v.replace(',', '.').replace('%', '')) / 100));

/** Name and more of a band or a place at hand; made anew only when another is at hand. */
function showZone() {
  const box = $('zone');
  if (!box) return;
  const zone = doc.zone();
  const what = zone ? `${zone.id}|${JSON.stringify(zone.said)}` : '';
  if (box.dataset.what === what || (zone && box.contains(document.activeElement))) return;
  box.dataset.what = what;
  if (!zone) {
    box.replaceChildren();
    return;
  }
  const { id } = zone;
  const of = () => doc.current().zones.find((z) => z.id === id);
  const name = make('input', { type: 'text', id: 'zone-name', value: zone.name, autocomplete: 'off', maxLength: 120 });
  name.addEventListener('change', () => {
    const words = name.value.trim() || zone.name;
    name.value = words;
    doc.change('name', () => { of().name = words; });
  });
  const label = make('label', { className: 'whole' }, make('span', {}, zone.kind === 'band' ? 'Name of the band ' : 'Name of the place ', key('E')), name);
  box.replaceChildren(label, ...zoneFields(zone.kind, of));
}

/** What is said of a band or a place. */
function zoneFields(kind, of) {
  return kind === 'band' ? [
    said('how far off in the photo', 'from', of, { placeholder: '180 m' }),
    said('how deep on the model', 'model_depth', of, { placeholder: '0.7 m' }),
    said('area on the model', 'area', of, { placeholder: '6 dm2', whole: true }),
    said('what grows there', 'land', of, { choices: LANDS }),
    said('width of the crowns', 'crown', of, { placeholder: '6 m' }),
    said('a scale of its own', 'scale', of, { placeholder: '1:160' }),
  ] : [
    said('laid by', 'technique', of, { choices: TECHNIQUES }),
    said('share of the surface', 'share', of, { show: inPercent, read: ofPercent, placeholder: '4 %' }),
    said('its colour', 'colour', of, { whole: true, placeholder: 'as in the photo; or #3a332e' }),
  ];
}

/** Bands and places that have no outline of their own. */
function looseZones(surface) {
  const kind = surface.treatment === 'scatter' ? 'band' : 'place';
  const one = ({ id, name, kind: is }) => {
    const of = () => doc.current().loose.find((z) => z.id === id);
    const field = make('input', { type: 'text', value: name, autocomplete: 'off', maxLength: 120 });
    field.addEventListener('change', () => doc.change('name', () => { of().name = field.value.trim() || name; }));
    const away = button(is === 'band' ? 'Delete band' : 'Delete place', null, () => doc.change('deleted', () => {
      const here = doc.current();
      here.loose = here.loose.filter((z) => z.id !== id);
    }), `${is === 'band' ? 'Delete band' : 'Delete place'}: “${name}”`);
    return more(name, [make('label', { className: 'whole' }, make('span', { textContent: 'name' }), field), ...zoneFields(is, of), away]);
  };
  return make('div', { id: 'loose' },
    ...(surface.loose.length ? [make('h3', { textContent: 'Not drawn' }), ...surface.loose.map(one)] : []),
    button(kind === 'band' ? 'A band that is not drawn' : 'A place of dirt that is not drawn', null, () => {
      doc.change('added', () => doc.addZone(kind));
      const added = [...$('loose').querySelectorAll('details')].at(-1);
      added.open = true;
      added.querySelector('summary').focus();
    }));
}

/** The outline and what lies in it, one a row, to be taken up. */
function showDrawn(surface) {
  const list = $('drawn');
  const lies = doc.part() ? doc.shapes(surface, work.part) : [];
  list.hidden = !lies.length;
  const rows = lies.length ? [-1, ...lies.keys()] : [];
  // What is chosen in the list keeps the focus, for whoever walks it by keys.
  const from = [...list.children].findIndex((row) => row.contains(document.activeElement));
  list.replaceChildren(...rows.map((at) => {
    const row = button(doc.shapeWords(at), null, () => hooks.takeUp(at));
    if (at === work.shape) row.setAttribute('aria-current', 'true');
    return make('li', {}, row);
  }));
  if (from >= 0) list.children[Math.min(from, rows.length - 1)]?.firstChild.focus();
}

/** What of the surface is at hand, and what can be done with it. */
export function showShape() {
  const surface = doc.current();
  const shape = $('shape');
  if (!surface || !shape) return;
  showZone();
  showDrawn(surface);
  const here = doc.part();
  const points = doc.outline();
  const actions = $('hand-actions');
  const focused = actions.contains(document.activeElement) ? document.activeElement.textContent : null;
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
    const holes = (work.shape < 0 ? here : doc.shape()).leave_out?.length;
    const left = holes ? `, ${holes} left out of it` : '';
    const made = surface.material && !doc.isKnown(surface) ? ` Made of ${surface.material} (${counted(surface.material)}).` : '';
    shape.textContent = `${doc.shapeWords()}: ${corner}${left}.${made}`;
    actions.replaceChildren(...[
      work.corner !== null && points.length > 3 ? button('Delete corner', 'Del', hooks.removeCorner) : null,
      work.corner === null || points.length <= 3 ? button(deleteWords(surface), 'Del', hooks.removeShape) : null,
    ].filter(Boolean));
  }
  if (focused) [...actions.children].find((b) => b.textContent === focused)?.focus();
}
