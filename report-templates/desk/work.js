// What is drawn, what is at hand, and the way back.

import { shareOf } from './shapes.js';

/** What is said of a new surface. */
const NOTHING_SAID = {
  tones: '', shade: '', one_surface: '', alike: '', coats: '', variety: '', wash: '', base: '', grime: '', flat: '', recess: '', pool: '', film: '', most_paints: '', recess_weight: '',
  land: '', crown: '', order: '', allow: '', model_photo: '', model_part: '', model_grey: '', model_out: '',
};

let surfaceId = 0;
let zoneId = 0;
let photoId = 0;

export const work = {
  title: '', file: '', digest: '', printOnly: false, unwritten: false, mixes: null,
  photos: [], surfaces: [], removed: [], materials: [],
  /** Photos that were taken out and are still in the file. */
  gone: [],
  /** What is said of the layout as a whole, and what the file says of it. */
  said: {}, saidWas: {},
  /** At hand: the photo's place, and in it the surface's id, its part, a shape (−1 the outline, else a leave-out or a zone), a corner. */
  photo: 0, surface: null, part: 0, shape: -1, corner: null,
  /** Something is being dragged: tones may be a little coarser, if only they are quick. */
  dragging: false,
  undone: [], done: [], savedAt: 0, changes: 0,
};

const listeners = [];
/** Calls back after every change: 'drawn', 'hand' (another thing is at hand) or 'all'. */
export const onChange = (listener) => listeners.push(listener);
export const tell = (what) => listeners.forEach((listener) => listener(what));

/** Bands and places with an outline of their own, and those without. */
function parted(zones) {
  const all = zones.map((z) => ({ ...z, leave_out: z.leave_out ?? [], said: { ...z.said }, id: (zoneId += 1) }));
  return { zones: all.filter((z) => z.outline.length), loose: all.filter((z) => !z.outline.length) };
}
const zonesOf = (s) => [...s.zones, ...s.loose];
const differs = (a, b) => JSON.stringify(a) !== JSON.stringify(b);

/** What is drawn to tell a photo's light alone: it is not painted. */
export const KNOWN = 'known';
export const isKnown = (surface) => surface?.treatment === KNOWN;
const aKnown = ({ was = null, material, part }) => ({
  id: (surfaceId += 1), was: null, name: freeName(material), treatment: KNOWN, area: '', areaWas: '', zones: [], loose: [],
  material, materialWas: null, like: null, said: { ...NOTHING_SAID }, parts: [{ ...part, knownWas: was }],
});
/** The same as it is sent, photo by photo. */
const knownAlone = (key) => work.surfaces.filter(isKnown).flatMap((s) => s.parts.filter((p) => p.photo === key)
  .map(({ knownWas, photo, outline, leave_out }) => ({ was: knownWas ?? null, name: s.name, material: s.material ?? '', alone: true, part: { photo, outline, leave_out } })));
const settleKnown = () => work.photos.forEach((p) => { p.aloneWas = JSON.stringify(knownAlone(p.key)); });

/** Takes in what the program says of the scene. */
export function load(told) {
  const before = work.photos[work.photo]?.key;
  const name = current()?.name;
  Object.assign(work, {
    title: told.title, file: told.file, name: told.name, paints: told.paints, digest: told.digest, printOnly: told.print_only, unwritten: told.unwritten, mixes: told.mixes,
    scale: told.scale, materials: told.materials, removed: [], gone: [], undone: [], done: [], changes: 0, savedAt: 0,
    said: { ...told.said }, saidWas: { ...told.said },
    photos: told.photos.map((p) => ({ ...p, id: (photoId += 1), said: { ...p.said }, saidWas: { ...p.said }, from: p.from ?? '', fromWas: p.from ?? '', version: 0, about: null })),
    surfaces: told.surfaces.map((s) => ({
      ...s, id: (surfaceId += 1), areaWas: s.area ?? '', area: s.area ?? '', materialWas: s.material, said: { ...NOTHING_SAID, ...s.said }, ...parted(s.zones),
    })),
  });
  for (const p of work.photos) for (const one of p.known ?? []) work.surfaces.push(aKnown(one));
  settleKnown();
  work.photos.forEach((p) => { p.known = knownText(p.key); });
  // Where one was before; else where the scene begins.
  const key = before ?? work.surfaces.find((s) => s.parts.length)?.parts[0].photo;
  work.photo = Math.max(0, work.photos.findIndex((p) => p.key === key));
  const again = work.surfaces.find((s) => s.name === name) ?? work.surfaces.find((s) => s.parts.some((p) => p.photo === photo()?.key));
  choose(again ?? null);
  tell('all');
}

/** Takes up again what was drawn and not saved. */
export function resume(draft) {
  begin('taken up again');
  const old = new Map(work.surfaces.map((s) => [s.was, s]));
  const { surfaces, photos, removed } = draft.drawing;
  const asInFile = work.surfaces.filter(isKnown);
  work.surfaces = surfaces.map((s) => {
    const before = s.was === null ? null : old.get(s.was);
    const id = before?.id ?? (surfaceId += 1);
    return {
      in_bands: false, areaWas: '', materialWas: null, like: null, ...before, ...s, id,
      area: s.area ?? before?.area ?? '', material: s.material === undefined ? before?.material ?? null : s.material || null,
      said: { ...NOTHING_SAID, ...s.said }, ...parted(s.zones ?? []),
    };
  });
  work.removed = removed;
  putAway(draft.drawing.gone ?? []);
  for (const p of work.photos) {
    const told = photos.find((one) => one.key === p.key)?.known;
    if (told) told.forEach((one) => work.surfaces.push(aKnown(one)));
    else work.surfaces.push(...asInFile.filter((s) => s.parts[0].photo === p.key));
  }
  for (const drawn of photos) {
    const p = work.photos.find((one) => one.key === drawn.key);
    if (p) Object.assign(p, { light: drawn.light, ...(drawn.from === undefined ? {} : { from: drawn.from }), ...(drawn.said ? { said: { ...p.said, ...drawn.said } } : {}) });
  }
  Object.assign(work.said, draft.drawing.said);
  // Saved against the file it was drawn on: if that has changed since, that is told.
  work.digest = draft.base;
  choose(work.surfaces.find((s) => s.parts.some((p) => p.photo === photo()?.key)) ?? null);
  end();
  tell('all');
}

/** Takes photos out of the layout, and takes all others in again. */
function putAway(keys) {
  const all = [...work.photos, ...work.gone].sort((a, b) => a.id - b.id);
  work.gone = all.filter((p) => keys.includes(p.key));
  work.photos = all.filter((p) => !keys.includes(p.key));
}

/** What would go with a photo: surfaces that lie on it alone, and those that lose a part of theirs. */
export function hangingOn(key) {
  const on = work.surfaces.filter((s) => s.parts.some((p) => p.photo === key));
  const alone = (s) => s.parts.every((p) => p.photo === key);
  return { whole: on.filter(alone), parts: on.filter((s) => !alone(s)) };
}

/** Takes a photo out of the layout, with what hangs on it. */
export function removePhoto(key) {
  const { whole, parts } = hangingOn(key);
  work.removed.push(...whole.map((s) => s.was).filter((was) => was !== null));
  work.surfaces = work.surfaces.filter((s) => !whole.includes(s));
  for (const s of parts) s.parts = s.parts.filter((p) => p.photo !== key);
  putAway([...work.gone.map((p) => p.key), key]);
  work.photo = Math.max(0, Math.min(work.photo, work.photos.length - 1));
  choose(work.surfaces.find((s) => s.parts.some((p) => p.photo === photo()?.key)) ?? null);
}

/** Another photo is there. */
export function addPhoto({ key, file, before, digest }) {
  putAway(work.gone.map((p) => p.key).filter((gone) => gone !== key));
  if (!work.photos.some((p) => p.key === key)) {
    work.photos.push({ key, file, id: (photoId += 1), light: { neutral: null, chart: null, estimate: false, wet: false }, from: '', fromWas: '', said: { credit: '', light: '' }, saidWas: { credit: '', light: '' }, version: 0, about: null, aloneWas: '[]' });
  }
  // What somebody else wrote meanwhile is not taken for read.
  if (work.digest === before) work.digest = digest;
  work.photo = work.photos.findIndex((p) => p.key === key);
  choose(null);
  tell('all');
}

export const photo = () => work.photos[work.photo];
export const current = () => work.surfaces.find((s) => s.id === work.surface) ?? null;
export const unsaved = () => work.changes !== work.savedAt;
/** Nothing here is to be saved any more. */
export const forget = () => { work.changes = work.savedAt; };

/** The part of the surface at hand that lies in the photo at hand. */
export function part() {
  const surface = current();
  const here = surface?.parts[work.part];
  return here?.photo === photo()?.key ? here : null;
}

/** What lies in a part besides its outline: leave-outs, and in the first one the surface's bands and places, and what is left out of those. */
export const shapes = (surface, at) => [...(surface.parts[at]?.leave_out ?? []), ...(at === 0 ? [...surface.zones, ...surface.zones.flatMap((z) => z.leave_out)] : [])];

/** The band or place at hand, or the one that what is at hand is left out of. */
export const zone = () => {
  const one = shape();
  return one && (one.kind ? one : current().zones.find((z) => z.leave_out.includes(one))) || null;
};

/** The leave-out or zone at hand. */
export const shape = () => (part() && work.shape >= 0 ? shapes(current(), work.part)[work.shape] ?? null : null);

/** A shape of the surface at hand in words; the one at hand, if none is asked for. */
export function shapeWords(at = work.shape) {
  const one = at >= 0 ? shapes(current(), work.part)[at] : null;
  if (!one) return 'Outline';
  if (one.kind) return `${{ band: 'Band', place: 'Place of dirt' }[one.kind]} “${one.name}”`;
  const of = current().zones.find((z) => z.leave_out.includes(one));
  if (of) return `Left out of “${of.name}”`;
  return `Leave-out ${at + 1} of ${part().leave_out.length}`;
}

/** The outline at hand: of the surface, or of what lies in it. */
export function outline() {
  const here = part();
  return here ? (work.shape < 0 ? here : shape())?.outline ?? null : null;
}

/** Puts a surface at hand, in the photo at hand if it is there. */
export function choose(surface, shape = -1, corner = null, at = null) {
  work.surface = surface?.id ?? null;
  const key = photo()?.key;
  const found = surface ? surface.parts.findIndex((p) => p.photo === key) : -1;
  work.part = at ?? Math.max(0, found);
  work.shape = shape;
  work.corner = corner;
}

const state = () => ({
  surfaces: structuredClone(work.surfaces),
  removed: [...work.removed],
  gone: work.gone.map((p) => p.key),
  photos: [...work.photos, ...work.gone].map(({ key, light, from, said }) => ({ key, light: structuredClone(light), from, said: { ...said } })),
  said: { ...work.said },
  hand: [work.surface, work.part, work.shape, work.corner, work.photo],
  changes: work.changes,
});

function restore(from) {
  work.surfaces = from.surfaces;
  work.removed = from.removed;
  putAway(from.gone);
  for (const was of from.photos) {
    const p = work.photos.find((one) => one.key === was.key);
    if (p) Object.assign(p, { lightChanged: differs(p.light, was.light), light: was.light, from: was.from, said: { ...was.said } });
  }
  work.said = { ...from.said };
  [work.surface, work.part, work.shape, work.corner, work.photo] = from.hand;
  work.changes = from.changes;
}

let begun = null;
let counter = 0;

/** Begins a change that may take a while, such as a drag. */
export function begin(label) {
  if (!begun) begun = { label, state: state() };
}

/** Ends it; one that changed nothing leaves no trace. */
export function end() {
  if (!begun) return;
  const { label, state: before } = begun;
  begun = null;
  const now = state();
  const drawn = (s) => [s.surfaces, s.gone, s.photos, s.said];
  if (!differs(drawn(before), drawn(now))) return;
  work.done.push({ label, state: before });
  if (work.done.length > 200) work.done.shift();
  work.undone = [];
  counter += 1;
  work.changes = counter;
  tell('drawn');
}

/** Gives a begun change up. */
export function giveUp() {
  if (begun) restore(begun.state);
  begun = null;
  tell('all');
}

/** One change. */
export function change(label, make) {
  end();
  begin(label);
  make();
  end();
}

function step(from, to) {
  end();
  const last = from.pop();
  if (!last) return null;
  to.push({ label: last.label, state: state() });
  restore(last.state);
  tell('all');
  return last.label;
}

export const undo = () => step(work.done, work.undone);
export const redo = () => step(work.undone, work.done);

/** A name that no surface has yet: the words given, numbered if they are taken, else a number alone. */
export function freeName(words) {
  const taken = (name) => work.surfaces.some((s) => s.name.toLowerCase() === name.toLowerCase());
  if (words && !taken(words)) return words;
  for (let n = words ? 2 : work.surfaces.length + 1; ; n += 1) {
    const name = words ? `${words} (${n})` : `Surface ${n}`;
    if (!taken(name)) return name;
  }
}

/** A new surface with an outline in the photo at hand, named by words if there are any. */
export function addSurface(points, holes = [], words = null, on = photo().key) {
  const surface = {
    id: (surfaceId += 1), was: null, name: freeName(words), treatment: 'coat', area: '', areaWas: '', zones: [], loose: [],
    material: null, materialWas: null, like: null, said: { ...NOTHING_SAID },
    parts: [{ photo: on, outline: points, leave_out: holes.map((outline) => ({ was: null, outline })) }],
  };
  work.surfaces.push(surface);
  choose(surface);
  return surface;
}

/** A new surface without a photo, with the tones of a measured material. */
export function addLike(material) {
  const surface = {
    id: (surfaceId += 1), was: null, name: freeName(`${material[0].toUpperCase()}${material.slice(1)}`), treatment: 'coat',
    area: '', areaWas: '', zones: [], loose: [], material: null, materialWas: null, like: { from: material }, said: { ...NOTHING_SAID }, parts: [],
  };
  work.surfaces.push(surface);
  choose(surface);
  return surface;
}

/** What surfaces say of a photo's materials: each with where it is. */
export const knownIn = (key) => work.surfaces.filter((s) => s.material)
  .flatMap((s) => s.parts.filter((p) => p.photo === key).map((p) => ({ material: s.material, part: p, alone: isKnown(s) })));
/** The same as text: what has changed is told to the program anew. */
export const knownText = (key) => JSON.stringify(knownIn(key));

/** Adds the photo at hand to the surface at hand. */
export function addPart(points) {
  const surface = current();
  surface.parts.push({ photo: photo().key, outline: points, leave_out: [] });
  choose(surface, -1, null, surface.parts.length - 1);
}

/** Adds a band or a place to the surface at hand; without points it has no outline of its own. */
export function addZone(kind, points) {
  const { zones, loose, parts } = current();
  const words = { band: 'Band', place: 'Dirt' }[kind];
  let n = 1;
  while ([...zones, ...loose].some((z) => z.name === `${words} ${n}`)) n += 1;
  const said = kind === 'place' ? { technique: '', colour: '', share: '' } : { from: '', model_depth: '', area: '', land: '', crown: '', scale: '' };
  if (!points) {
    loose.push({ kind, was: null, id: (zoneId += 1), name: `${words} ${n}`, outline: [], leave_out: [], said });
    return;
  }
  zones.push({ kind, was: null, id: (zoneId += 1), name: `${words} ${n}`, outline: points, leave_out: [], said, measured: kind === 'place' });
  measure();
  choose(current(), parts[0].leave_out.length + zones.length - 1, null, 0);
}

/** A place of dirt that was drawn here says the share that is drawn, until another is typed. */
export function measure() {
  for (const surface of work.surfaces) {
    for (const zone of surface.zones) {
      if (!zone.measured || !surface.parts[0]) continue;
      const share = String(Number(shareOf(zone, surface.parts[0]).toFixed(3)));
      if (zone.said.share !== '' && zone.said.share !== zone.share) zone.measured = false;
      else Object.assign(zone, { share, said: { ...zone.said, share } });
    }
  }
}

/** Takes away the shape at hand: a leave-out, a zone, a part of several, or the surface. */
export function removeShape() {
  const surface = current();
  const here = part();
  if (!surface || (!here && !surface.like)) return;
  if (here && work.shape >= 0) {
    const gone = shape();
    for (const list of [here.leave_out, surface.zones, ...surface.zones.map((z) => z.leave_out)]) {
      if (list.includes(gone)) list.splice(list.indexOf(gone), 1);
    }
    measure();
    choose(surface, -1, null, work.part);
  } else if (surface.parts.length > 1) {
    surface.parts.splice(work.part, 1);
    choose(surface);
  } else {
    work.surfaces = work.surfaces.filter((s) => s !== surface);
    if (surface.was !== null) work.removed.push(surface.was);
    choose(null);
  }
}

/** What is sent to be saved. */
export function drawing() {
  return {
    photos: work.photos.map(({ key, light, from, fromWas, said, saidWas, aloneWas }) => ({ key, light, ...(JSON.stringify(knownAlone(key)) === aloneWas ? {} : { known: knownAlone(key) }), ...(from === fromWas ? {} : { from }), ...(differs(said, saidWas) ? { said } : {}) })),
    ...(differs(work.said, work.saidWas) ? { said: work.said } : {}),
    surfaces: work.surfaces.filter((s) => !isKnown(s)).map((s) => ({
      was: s.was, name: s.name, treatment: s.treatment, said: s.said,
      parts: s.parts.map(({ photo, outline, leave_out }) => ({ photo, outline, leave_out })),
      zones: zonesOf(s).map(({ kind, was, name, outline, leave_out, said }) => ({ kind, was, name, outline, leave_out, said })), ...(s.like ? { like: s.like } : {}),
      ...(s.material === s.materialWas ? {} : { material: s.material ?? '' }),
      ...(s.area.trim() === s.areaWas ? {} : { area: s.area }),
    })),
    gone: work.gone.map((p) => p.key),
    removed: [...work.removed, ...work.surfaces.filter((s) => isKnown(s) && s.was !== null).map((s) => s.was)],
  };
}

/** After saving, what is drawn is what the file holds. */
export function saved({ digest, zones, held }) {
  const of = (kind, name) => held.filter((h) => h.of === kind && h.name === name);
  const back = new Set(held.filter((h) => h.of === 'surface' && !h.zone && !h.field).map((h) => h.name));
  work.digest = digest;
  work.unwritten = false;
  const settle = (surfaces) => surfaces.filter((s) => !back.has(s.name)).forEach((s) => {
    const fields = of('surface', s.name).filter((h) => !h.zone).map((h) => h.field);
    if (!fields.includes('name')) s.was = isKnown(s) ? null : s.name;
    if (!fields.includes('area')) s.areaWas = s.area.trim();
    s.materialWas = s.material;
    s.parts.forEach((p) => p.leave_out.forEach((hole, i) => { hole.was = i; }));
    for (const kind of ['band', 'place']) {
      const now = (zones[s.was] ?? []).filter((z) => z.kind === kind);
      // As they stand in the file: those that were there in their order, then the new ones.
      const mine = zonesOf(s).filter((z) => z.kind === kind);
      const old = mine.filter((z) => z.was !== null).sort((a, b) => a.was - b.was);
      const added = mine.filter((z) => z.was === null);
      // One that is held back is not in the file.
      for (const { zone } of of('surface', s.name).filter((h) => h.zone && !h.field)) {
        const at = added.findLastIndex((z) => z.name === zone);
        if (at >= 0) added.splice(at, 1);
      }
      [...old, ...added].forEach((z, i) => {
        z.was = now[i]?.was ?? null;
        z.leave_out.forEach((hole, n) => { hole.was = n; });
      });
    }
  });
  settle(work.surfaces);
  placeKnown(back);
  settleKnown();
  for (const p of work.photos) {
    const fields = of('photo', p.key).map((h) => h.field);
    if (!fields.includes('from')) p.fromWas = p.from;
    if (!fields.length) p.saidWas = { ...p.said };
  }
  if (!held.some((h) => h.of === 'layout')) work.saidWas = { ...work.said };
  work.title = work.said.title || work.title;
  work.scale = work.said.scale || work.scale;
  work.removed = work.removed.filter((was) => back.has(was));
  if (work.gone.length) {
    // Their files stay in the folder; what lies before leads back to what is no more in the scene.
    work.gone = work.gone.filter((p) => of('photo', p.key).length);
    [work.done, work.undone] = [[], []];
  }
  // What the way back leads to is no longer what the file holds: names and places there are those of now.
  for (const { state: past } of [...work.done, ...work.undone]) rebase(past);
  work.savedAt = held.length ? -1 : work.changes;
  tell('all');
}

/** Where in the file what tells the light alone stands now: as before in their order, then the new ones. */
function placeKnown(back) {
  for (const { key } of work.photos) {
    const mine = work.surfaces.filter((s) => isKnown(s) && !(back.has(s.name) && s.parts.every((p) => (p.knownWas ?? null) === null)))
      .flatMap((s) => s.parts.filter((p) => p.photo === key));
    const old = mine.filter((p) => (p.knownWas ?? null) !== null).sort((a, b) => a.knownWas - b.knownWas);
    [...old, ...mine.filter((p) => (p.knownWas ?? null) === null)].forEach((p, i) => { p.knownWas = i; });
  }
  work.surfaces.filter((s) => !isKnown(s)).forEach((s) => s.parts.forEach((p) => { p.knownWas = null; }));
}

/** Makes a past state know the file as it is now: what it lacks is to go, what it has besides is new. */
function rebase(past) {
  const now = new Map(work.surfaces.map((s) => [s.id, s]));
  past.removed = work.surfaces.filter((s) => !past.surfaces.some((p) => p.id === s.id)).map((s) => s.was).filter((was) => was !== null);
  past.surfaces.forEach((s) => {
    const here = now.get(s.id);
    s.was = here?.was ?? null;
    s.areaWas = here?.areaWas ?? '';
    s.materialWas = here?.materialWas ?? null;
    s.parts.forEach((p, i) => {
      p.knownWas = here?.parts[i]?.knownWas ?? null;
      p.leave_out.forEach((hole) => { hole.was = null; });
    });
    const zones = here ? zonesOf(here) : [];
    zonesOf(s).forEach((z) => {
      z.was = zones.find((one) => one.id === z.id)?.was ?? null;
      z.leave_out.forEach((hole) => { hole.was = null; });
    });
  });
}
