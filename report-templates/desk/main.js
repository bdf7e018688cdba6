// The page as a whole: tools, keys, saving, and what is told to the user.
import * as adding from './adding.js';
import { Problem, ask } from './ask.js';
import * as bench from './bench.js';
import { showTools } from './beside.js';
import * as card from './card.js';
import * as engine from './engine.js';
import * as keeping from './keeping.js';
import * as leaves from './leaves.js';
import * as lie from './lie.js';
import * as loupe from './loupe.js';
import * as layout from './layout.js';
import { button, make, sentence } from './make.js';
import * as marks from './marks.js';
import * as materials from './materials.js';
import * as paints from './paints.js';
import * as rub from './rub.js';
import * as schedule from './schedule.js';
import { crossing, whereabouts } from './shapes.js';
import * as spine from './spine.js';
import * as stage from './stage.js';
import * as tones from './tones.js';
import * as wall from './wall.js';
import * as doc from './work.js';

const { work } = doc;
const { pen } = marks;
const $ = (id) => document.getElementById(id);

/** Where there is no mouse, words are of fingers. */
const touch = window.matchMedia('(hover: none) and (pointer: coarse)').matches;
const tapped = (words) => (touch ? words.replaceAll('Click', 'Tap').replaceAll('click', 'tap') : words);
for (const one of document.querySelectorAll('#card-say, #card-mark, #bench-ready > .small')) one.textContent = tapped(one.textContent);
const TOOLS = [
  ['move', 'Take up', 'V', 'Click a wall to choose it; drag its corners, or the current shape. Drag elsewhere to move the photo.'],
  ['rub', 'Rub', 'R', touch ? 'Rub across a wall: the outline takes in what is like it. Rub elsewhere to add.'
    : 'Rub across a wall as with a finger: the outline takes in what is like it. Rub elsewhere to add; with Shift or the right button, to take out.'],
  ['rub-out', 'Rub out', 'X', 'Rub what does not belong to it.'],
  ['outline', 'Corners', 'D', 'Click corner after corner, or drag a box. A click on the first corner closes.'],
  ['leave-out', 'Leave out', 'L', 'Inside the current surface, draw round what does not belong to it, one thing after another.'],
  ['band', 'Band', 'B', 'On the current hillside, draw a strip that lies at one distance.'],
  ['place', 'Dirt', 'T', 'On the current surface, draw where dirt gathers.'],
  ['suggest', 'Suggest', 'U', 'Click a suggested region to make it a surface.'],
  ['card', 'Grey card', 'G', 'Click the grey card (18 % reflectance).'],
  ['neutral', 'Neutral', 'N', 'Click something that is really grey or white.'],
  ['chart', 'Chart', 'K', ''],
  ['sky', 'Sky', 'F', 'Click the sky just above the hills: it shows the colour of the air in front of them.'],
];
const CHART = ['Click the chart’s outer corner at patch 1 (dark brown).', 'Now the corner at patch 6 (end of the first row).',
  'Now the corner at patch 24 (black).', 'Now the corner at patch 19 (white).'];

/** Tools that draw within the surface at hand. */
const INSIDE = ['leave-out', 'band', 'place'];
/** Whether the surface at hand can take what a tool draws: bands and places lie in its first photo. */
const canHold = (tool) => Boolean(doc.part()) && (tool === 'leave-out' || work.part === 0);
const FIRST = 'First choose a surface on this photo; bands and dirt lie on the first photo of a surface.';
const NOT_PAINTED = 'This one is not painted: it only shows the light.';
const NO_BAND = 'Bands are for hillsides: first say that this one is scatter.';
/** Why a tool cannot draw within the surface at hand; null where it can. */
const hindrance = (tool) => (!canHold(tool) ? FIRST : tool !== 'leave-out' && doc.isKnown(doc.current()) ? NOT_PAINTED : tool === 'band' && doc.current().treatment !== 'scatter' ? NO_BAND : null);

// What is told.

function say(words) {
  $('said').textContent = words;
}

/** A notice above the photo; it stays until it is answered. */
function notice(id, words, actions = [], urgent = false) {
  $(id)?.remove();
  if (!words) return;
  const box = make('div', { className: 'notice', id, role: urgent ? 'alert' : 'status' }, make('p', { textContent: words }));
  for (const [label, act] of actions) box.append(make('button', { type: 'button', textContent: label, onclick: act }));
  $('notices').append(box);
}

/** So long (ms) a passing notice is seen. */
const PASSING = 6000;
let leaving = 0;
/** A notice laid over the photo that leaves by itself. */
function passing(id, words) {
  notice(id, words);
  $(id).classList.add('passing');
  clearTimeout(leaving);
  leaving = setTimeout(() => notice(id), PASSING);
}

function failed(problem, id = 'problem') {
  if (problem.changed) {
    changedMeanwhile();
    return;
  }
  const hint = problem.hint ? ` ${sentence(problem.hint)}` : '';
  notice(id, sentence(problem.message) + hint, [['Close', () => notice(id)]], true);
}

function changedMeanwhile() {
  const lost = doc.unsaved() ? ' Your unsaved drawing would be lost.' : '';
  notice('changed', `${work.file} has changed since this page read it.${lost}`, [
    ['Load it as it is now', () => { notice('changed'); open_(); }],
    ['Put my drawing into it', () => { notice('changed'); save(true); }],
  ], true);
}

function showState() {
  const n = doc.unsaved() ? 1 : 0;
  $('state').textContent = work.printOnly ? 'Nothing is written; the scene is printed at the end' : n ? keeping.words() : work.unwritten ? 'Nothing is saved yet' : `As in ${work.file}`;
  $('undo').disabled = work.done.length === 0;
  $('redo').disabled = work.undone.length === 0;
  const title = work.said.title || work.title;
  document.title = `${n ? '• ' : ''}${title}`;
  if (title) $('title').textContent = title;
}

/** What to do now, in words; and buttons for what is being drawn. */
function showNow() {
  const [, , , words] = TOOLS.find(([tool]) => tool === pen.tool);
  let now = words;
  const buttons = [];
  if (pen.draft.length) {
    now = pen.draft.length < 3 ? `${pen.draft.length === 1 ? 'One corner' : 'Two corners'} set. Click the next.` : `${pen.draft.length} corners set. Close it, or click the next.`;
    if (pen.draft.length >= 3) buttons.push(button('Close', 'C', stage.close));
    buttons.push(button('Take back', '⌫', stage.takeBack));
  } else if (pen.tool === 'chart') {
    now = CHART[pen.chart.length];
    if (pen.chart.length) buttons.push(button('Take back', '⌫', stage.takeBack));
  } else if (INSIDE.includes(pen.tool) && hindrance(pen.tool)) {
    now = hindrance(pen.tool);
  } else if (!work.photos.length) {
    now = touch ? '' : 'Drop photos on the page, or pick them.';
  } else if (crossing(doc.outline() ?? []) !== null) {
    now = 'Its outline crosses itself: drag back one of the corners by the red line.';
  } else if (pen.tool === 'suggest' && pen.suggestions?.length === 0) {
    now = 'Nothing on this photo stands out enough to suggest. Draw it yourself.';
  } else if (pen.tool === 'suggest' && !pen.suggestions) now = 'Looking for regions…';
  $('now').textContent = tapped(now);
  $('doing').replaceChildren(...buttons);
  showTools(TOOLS, { setTool: chooseTool, reachOn: rub.reachOn });
  for (const b of document.querySelectorAll('[data-tool]')) b.setAttribute('aria-pressed', String(b.dataset.tool === pen.tool));
}

function showPhotoLine() {
  const photo = doc.photo();
  $('photo-name').textContent = photo ? `${photo.key} (${work.photo + 1} of ${work.photos.length})` : 'No photo';
  for (const id of ['photo-line', 'zoom', 'loupe']) $(id).hidden = !photo;
  $('photo-before').disabled = work.photos.length < 2;
  $('photo-after').disabled = work.photos.length < 2;
  $('stage').setAttribute('aria-label', photo ? `Photo “${photo.key}”, ${photo.file}` : 'Photo');
}

// What the tools do.

function setTool(tool) {
  if (tool === 'rub') rub.anew();
  stage.setTool(tool);
  say(TOOLS.find(([t]) => t === tool)[1]);
  suggest();
}

/** Asks for suggestions where they are wanted and not here yet. */
async function suggest() {
  const photo = doc.photo();
  if (pen.tool !== 'suggest' || pen.suggestions || !photo?.width) return;
  try {
    const told = await ask('suggest', { photo: photo.key });
    if (doc.photo() !== photo) return;
    pen.suggestions = told.suggestions;
    say(`${told.suggestions.length} regions suggested`);
  } catch (problem) {
    failed(problem);
  }
  showNow();
  marks.redraw();
}

let alsoHere = false;

stage.setHooks({
  say,
  failed,
  pointed: (at) => loupe.showColour(at),
  tool: showNow,
  rub,
  drew(points) {
    const here = doc.part();
    if (INSIDE.includes(pen.tool)) {
      if (hindrance(pen.tool)) {
        say(hindrance(pen.tool));
        showNow();
        return;
      }
      if (pen.tool !== 'leave-out') {
        doc.change(`${pen.tool} drawn`, () => doc.addZone(pen.tool, points));
        say(`${doc.shapeWords()} drawn; press E to name it`);
        setTool('move');
        doc.tell('all');
        return;
      }
      // With a band or a place at hand, it is left out of that one.
      const zone = doc.zone();
      const hole = { was: null, outline: points };
      doc.change('leave-out drawn', () => {
        (zone ?? here).leave_out.push(hole);
        doc.measure();
        doc.choose(doc.current(), doc.shapes(doc.current(), work.part).indexOf(hole), null, work.part);
      });
      say(`left out${zone ? ` of ${zone.name}` : ''}; draw the next, or press V to move corners`);
      doc.tell('all');
      return;
    } else if (alsoHere && doc.current() && !here) {
      doc.change('drawn here too', () => doc.addPart(points));
    } else {
      doc.change('outline drawn', () => doc.addSurface(points));
      say('outline closed; press E to name it');
    }
    alsoHere = false;
    setTool('move');
    doc.tell('all');
  },
  picked(at) {
    if (pen.tool === 'sky') {
      changeLight((light) => { light.sky = aboutSky(at); });
      setTool('move');
      return;
    }
    const reflectance = pen.tool === 'card' ? 0.18 : null;
    changeLight((light) => { light.neutral = { at, reflectance }; });
    setTool('move');
  },
  charted(corners) {
    changeLight((light) => { light.chart = corners; });
    setTool('move');
  },
  accepted(suggestion) {
    const words = `${suggestion.name}, ${whereabouts(suggestion.outline)}`;
    doc.change('suggestion taken', () => doc.addSurface(structuredClone(suggestion.outline), structuredClone(suggestion.leave_out), words));
    say(`${doc.current().name} taken; press E for another name`);
    setTool('move');
    doc.tell('all');
    toView();
  },
});

/** A flat box of sky about a point, within the photo. */
function aboutSky([x, y]) {
  const within = (v) => Number(Math.min(1, Math.max(0, v)).toFixed(4));
  const [left, right, top, bottom] = [x - 0.06, x + 0.06, y - 0.02, y + 0.02].map(within);
  return [[left, top], [right, top], [right, bottom], [left, bottom]];
}

function changeLight(change) {
  const photo = doc.photo();
  doc.change('light', () => change(photo.light));
  relight(photo);
}

/** Tells the program anew where what surfaces are made of, or where they lie, has changed. */
function relightWhereKnown() {
  if (work.dragging) return;
  for (const photo of work.photos) if (photo.known !== doc.knownText(photo.key)) relight(photo);
}

/** Tells the program the light of a photo, and shows the photo in it; a light that cannot be used is taken back. */
async function relight(photo) {
  photo.lightChanged = false;
  photo.known = doc.knownText(photo.key);
  try {
    Object.assign(photo, { about: await ask('light', { photo: photo.key, light: photo.light, known: doc.knownIn(photo.key) }) });
    photo.version += 1;
    pen.suggestions = null;
    leaves.showLight();
    if (photo === doc.photo()) lie.showPhoto();
    tones.askTones();
  } catch (problem) {
    failed(problem);
    doc.undo();
  }
}

card.setHooks({
  goTo: (key) => goToPhoto(work.photos.findIndex((p) => p.key === key)),
  alsoHere: () => {
    alsoHere = true;
    setTool('outline');
    $('stage').focus();
  },
  removeCorner: () => stage.removeCorner(),
  removeShape: () => removeShape(),
  takeUp: (at) => stage.takeUp(at),
  bandsOf: (surface) => {
    const isBand = (zone) => zone.kind === 'band';
    const bands = surface.treatment === 'scatter' ? [] : [...surface.zones, ...surface.loose].filter(isBand);
    const words = bands.length ? `Only scatter has bands. While “${surface.name}” keeps ${bands.map((band) => `“${band.name}”`).join(' and ')}, each band gets colours of its own.` : null;
    notice('bands', words, [
      ['Delete its bands', () => {
        notice('bands');
        doc.change('bands deleted', () => {
          const here = work.surfaces.find((one) => one.id === surface.id);
          here.zones = here.zones.filter((zone) => !isBand(zone));
          here.loose = here.loose.filter((zone) => !isBand(zone));
          doc.choose(here);
        });
        doc.tell('all');
      }],
      ['Keep them', () => notice('bands')],
    ]);
  },
});

leaves.setHooks({
  turned: (leaf) => {
    schedule.show(leaf === 'schedule');
    if (leaf === 'paints') paints.load();
    if (leaf === 'bench') bench.show();
  },
  goTo: (at) => {
    goToPhoto(at);
    toPhoto();
  },
  tool: (tool) => {
    toPhoto();
    chooseTool(tool);
  },
  forgetLight: () => changeLight((light) => {
    if (light.chart) light.chart = null;
    else if (light.neutral) light.neutral = null;
    else light.estimate = false;
  }),
  forgetSky: () => changeLight((light) => { delete light.sky; }),
  rained: (wet) => changeLight((light) => { light.wet = wet; }),
  estimateLight: () => changeLight((light) => {
    light.estimate = true;
    doc.photo().said.light = '';
  }),
  takeOut: ({ key, file }) => {
    const { whole, parts } = doc.hangingOn(key);
    const names = (all) => all.map((s) => `“${s.name}”`).join(', ');
    const goes = [whole.length ? ` ${names(whole)} ${whole.length > 1 ? 'go' : 'goes'} with it.` : '', parts.length ? ` ${names(parts)} ${parts.length > 1 ? 'lose their parts' : 'loses its part'} on it.` : ''].join('');
    notice('photo-goes', `${file} leaves the layout, but stays in its folder.${goes} Undo brings it back until you save.`, [
      ['Take it out', () => {
        notice('photo-goes');
        doc.change('photo taken out', () => doc.removePhoto(key));
        say(`${file} taken out; Z brings it back`);
        doc.tell('all');
      }],
      ['Leave it', () => notice('photo-goes')],
    ]);
  },
  greyIs: (share) => changeLight((light) => { light.neutral.reflectance = share; }),
  choose: (surface) => {
    takeUp(surface);
    leaves.turnTo('card');
    toView();
  },
});

materials.setTell(say);
marks.alsoDraw(() => {
  const border = tones.border();
  if (border) marks.line(border, { closed: false, width: 2.5, dash: 'dash' });
});
document.addEventListener('tones', () => marks.redraw());
tones.setHooks({ rested: loupe.rested, say, failed });
spine.setHooks({
  lit: tones.lightRow,
  held: (tone) => {
    leaves.turnTo('card');
    tones.toRow(tone);
  },
});
lie.setHooks({
  redraw: marks.redraw,
  failed,
  about: () => (pen.byKey ? lie.toScreen(pen.cross) : null),
  another: () => {
    Object.assign(pen, { suggestions: null, near: -1, draft: [], chart: [], cross: [0.5, 0.5] });
    rub.anew();
    loupe.forget();
  },
});
rub.setHooks({
  say,
  failed,
  begun: () => { if (!leaves.besideSchedule()) leaves.turnTo('card'); },
  settled: (answer) => {
    say(`${doc.current()?.name ?? 'it'}: ${answer.outline.length} corners, ${answer.leave_out.length} left out; a full stop takes in more, a comma less`);
  },
});
marks.onDrawn(() => { $('zoom-is').textContent = lie.zoomWords(); });
paints.setHooks({
  kept: () => {
    tones.forgetMixes();
    wall.forget();
    schedule.forget();
    leaves.showLists();
  },
});
bench.setHooks({ today: schedule.today, logged: schedule.forget });
keeping.setHooks({ failed, shown: showState });
layout.setHooks({ failed, say, today: schedule.today, notice });
adding.listen({
  added: (told) => {
    doc.addPhoto(told);
    say(`photo ${told.file} added`);
    if (told.smaller) notice('smaller', `${told.file}: ${told.smaller}`, [['Close', () => notice('smaller')]]);
    if (!work.surfaces.length) setTool('rub');
  },
  friend: (told) => {
    schedule.showFriend(told);
    leaves.turnTo('schedule', true);
    say(`${told.title}, solved again for your paints`);
  },
  list: async (file) => {
    await paints.takeFile(file);
    leaves.turnTo('paints', true);
  },
  failed,
  today: schedule.today,
});
$('paint-given').addEventListener('change', async () => {
  const [file] = $('paint-given').files;
  if (file) await paints.takeFile(file).catch(failed);
  $('paint-given').value = '';
});

/** Takes a tool up, and goes to the photo with it. */
function chooseTool(tool) {
  setTool(tool);
  $('stage').focus({ preventScroll: true });
}

function removeShape() {
  if (!doc.part() && !doc.current()?.like) return;
  const words = `${work.shape < 0 ? doc.current().name : doc.shapeWords()} deleted`;
  doc.change('deleted', doc.removeShape);
  say(`${words}; Z brings it back`);
  doc.tell('all');
}

/** Where the page has taken the photo's place, as on a phone, turns back to it. */
function toPhoto() {
  if (!$('stage').offsetParent) leaves.turnTo('card');
}

/** Scrolls so that what was just taken up is seen: the card's top, and the photo. */
function toView() {
  $('right').scrollTop = 0;
  if ($('stage').getBoundingClientRect().top < 0) $('stage').scrollIntoView({ block: 'start' });
}

function takeUp(surface) {
  const there = surface.parts.some((p) => p.photo === doc.photo()?.key);
  if (!there && surface.parts.length) work.photo = Math.max(0, work.photos.findIndex((p) => p.key === surface.parts[0].photo));
  doc.choose(surface);
  say(surface.name);
  doc.tell('all');
}

function goToPhoto(at) {
  const n = work.photos.length;
  if (!n) return;
  doc.end();
  work.photo = (at + n) % n;
  const { key } = doc.photo();
  // What is at hand stays at hand, so that it can be drawn on another photo too.
  doc.choose(doc.current() ?? work.surfaces.find((s) => s.parts.some((p) => p.photo === key)) ?? null);
  say(`photo ${key}`);
  doc.tell('all');
}

function nextSurface(by) {
  const n = work.surfaces.length;
  if (!n) return;
  const at = work.surfaces.findIndex((s) => s.id === work.surface);
  takeUp(work.surfaces[at < 0 ? 0 : (at + by + n) % n]);
}

// Undo, save, open.

function walk(step, words) {
  const label = step();
  if (!label) return;
  say(`${words}: ${label}`);
  for (const photo of work.photos) if (photo.lightChanged) relight(photo);
}

/** Most of what is held back that a notice leads to. */
const MOST_WAYS = 3;
/** What is held back, in words. */
const heldName = ({ of, name, zone, field }) => [of === 'layout' ? 'the layout' : `“${name}”`, ...(zone ? [`“${zone}”`] : []), ...(field ? [card.labelOf(field)] : [])].join(', ');

/** Takes one to what is held back: its page, and its field where there is one. */
function toHeld({ of, name, zone, field }) {
  const box = { surface: 'hand', photo: 'light', layout: 'layout-said' }[of];
  if (of === 'photo') goToPhoto(work.photos.findIndex((p) => p.key === name));
  const surface = of === 'surface' ? work.surfaces.find((s) => s.name === name) : null;
  if (surface) {
    takeUp(surface);
    const at = doc.shapes(surface, work.part).findIndex((one) => one.kind && one.name === zone);
    if (at >= 0) doc.choose(surface, at, null, 0);
    doc.tell('all');
  }
  leaves.turnTo({ surface: 'card', photo: 'photos', layout: 'walls' }[of], true);
  const inside = [...$('hand').querySelectorAll('#loose details')].find((d) => d.firstChild.textContent === zone) ?? $(box);
  const there = inside.querySelector(`[data-said="${field}"]`);
  for (let up = there?.closest('details'); up; up = up.parentElement.closest('details')) up.open = true;
  there?.focus();
}

let saving = false;
async function save(over = false) {
  if (saving) return;
  doc.end();
  saving = true;
  keeping.hold();
  try {
    const told = await ask('save', { ...keeping.names(), base: work.digest, drawing: doc.drawing(), over });
    if (told.printed) {
      document.body.replaceChildren(make('main', {}, make('h1', { textContent: 'Printed' }), make('p', { textContent: 'The scene is in the terminal; nothing was written. You can close this page.' })));
      return;
    }
    doc.saved(told);
    if (over) {
      // Others' changes are in the file too: read it whole, and put what is held back over it again.
      const mine = told.held.length ? { base: told.digest, drawing: doc.drawing() } : null;
      doc.forget();
      await open_();
      if (mine) doc.resume(mine);
    }
    notice('problem');
    notice('changed');
    const wrote = `Saved: ${told.wrote.join(' and ')}.`;
    if (told.held.length) notice('saved');
    else passing('saved', wrote);
    notice('held', told.held.length ? `${wrote} Not saved yet: ${told.held.map((h) => `${heldName(h)}: ${h.words}`).join('; ')}. It is kept beside the scene.` : null,
      [...told.held.slice(0, MOST_WAYS).map((h) => [`To ${heldName(h)}`, () => toHeld(h)]), ['Close', () => notice('held')]], true);
    if (told.held.length) keeping.changed();
    else keeping.saved();
    say('saved');
  } catch (problem) {
    failed(problem);
    keeping.changed();
  } finally {
    saving = false;
    showState();
  }
}

/** Reads the layout anew, and takes up the draft of that name, or the newest. */
async function open_(wanted = null) {
  try {
    const told = await ask('hello');
    doc.load(told);
    $('schedule-solver-row').hidden = !told.solver;
    if (told.later) secondPage();
    schedule.takeTicks(told.ticks);
    if (told.drafts.length) resumed(told.drafts.reverse(), wanted);
  } catch (problem) {
    failed(problem);
  }
}

/** Takes up again what was drawn and not saved when a page was left; each window's is one of its own. */
function resumed(drafts, wanted) {
  const draft = drafts.find((one) => one.page === wanted) ?? drafts[0];
  doc.resume(draft);
  keeping.takeUp(draft);
  if (!doc.unsaved()) {
    keeping.letGo();
    return;
  }
  const others = drafts.flatMap((other) => (other === draft ? [] : [[`Rather that of ${other.at}: ${other.drawing.surfaces.map((s) => s.name).join(', ')}`, async () => {
    await keeping.leave();
    doc.forget();
    open_(other.page);
  }]]));
  notice('resumed', `Unsaved drawing of ${draft.at}`, [
    ['Keep it', () => notice('resumed')],
    [touch ? 'Discard it' : `Discard it: back to ${work.file}`, () => {
      notice('resumed');
      doc.forget();
      keeping.letGo().then(() => open_());
    }],
    ...others,
  ]);
}

let second = false;
function secondPage(later = true) {
  if (later && !second) {
    notice('second', `${work.file} is open in another tab of this program. Draw in only one of them: if the other saves first, load the file here again.`, [], true);
  } else if (!later && second) notice('second');
  second = later;
}

async function alive() {
  try {
    const told = await ask('alive', { unsaved: doc.unsaved(), base: work.digest });
    secondPage(told.later);
    notice('gone');
    if (told.changed && !$('changed') && !saving) changedMeanwhile();
    else if (!told.changed) notice('changed');
  } catch (problem) {
    if (problem instanceof Problem) failed(problem, 'gone');
  }
}
setInterval(alive, 5000);
document.addEventListener('visibilitychange', () => { if (!document.hidden) alive(); });
window.addEventListener('pagehide', () => { ask('gone', {}, { keepalive: true }).catch(() => {}); });
window.addEventListener('beforeunload', (event) => { if (doc.unsaved()) event.preventDefault(); });

// Keys and buttons.

const GLOBAL = [
  ['Z', 'Undo', () => walk(doc.undo, 'undone')], ['Y', 'Redo', () => walk(doc.redo, 'done again')], ['S', 'Save', () => save()],
  ['E', 'Name the current shape', () => { if (leaves.isOpen('schedule')) leaves.turnTo('card'); const field = $('zone-name') ?? $('name'); field?.focus(); field?.select(); }],
  ['O', 'Tones over the photo', () => say(spine.toggle() ? 'the tones lie over the photo' : 'the photo alone')],
  ['[', 'Previous photo', () => goToPhoto(work.photo - 1)], [']', 'Next photo', () => goToPhoto(work.photo + 1)],
  ['Q', 'Next surface', () => nextSurface(1)], ['A', 'Surface before', () => nextSurface(-1)],
  ['+', 'Zoom in', () => lie.zoom(1.5)], ['−', 'Zoom out', () => lie.zoom(1 / 1.5)],
  ['0', 'Fit the photo', lie.fit], ['1', 'True pixels', lie.truePixels],
  ['P', 'To the photo', () => { toPhoto(); $('stage').focus(); }],
  ['W', 'The photo alone, or with its page again', () => say(leaves.fold() ? 'the photo alone' : 'the page is back')],
  ['H', 'These keys', () => help()],
];
const ON_PHOTO = [
  ['← → ↑ ↓', 'Move the crosshair, or the current corner; with Shift by single steps, with Alt the whole shape'],
  ['Enter', 'Set a corner, begin and end a rub, choose what is under the crosshair, take a suggestion'],
  ['C', 'Close the outline', () => stage.close()],
  ['⌫', 'Take the last corner back'],
  [',', 'Previous corner or suggestion; while rubbing, take in less', () => (rub.wants() ? rub.reachOn(1 / 1.3) : stage.turn(-1))],
  ['.', 'Next corner or suggestion; while rubbing, take in more', () => (rub.wants() ? rub.reachOn(1.3) : stage.turn(1))],
  ['I', 'Add a corner after the current one', () => stage.insertCorner()],
  ['M', 'Next shape: outline, leave-outs, bands, dirt', () => stage.nextShape()],
  ['Del', 'Delete corner or shape', () => { if (!stage.removeCorner()) removeShape(); }],
  ['Esc', 'Give up the current drawing; back to choosing'],
];

function help() {
  const open = !$('keys').open;
  $('keys').open = open;
  if (open) {
    leaves.turnTo('card');
    $('keys').scrollIntoView({ block: 'nearest' });
  }
}

for (const [id, act] of [
  ['undo', () => walk(doc.undo, 'undone')], ['redo', () => walk(doc.redo, 'done again')], ['save', () => save()],
  ['photo-before', () => goToPhoto(work.photo - 1)], ['photo-after', () => goToPhoto(work.photo + 1)],
  ['zoom-in', () => lie.zoom(1.5)], ['zoom-out', () => lie.zoom(1 / 1.5)], ['zoom-fit', lie.fit], ['zoom-true', lie.truePixels],
]) $(id).addEventListener('click', act);

const rows = [['Tools'], ...TOOLS.map(([, label, key]) => [key, label]), ['Anywhere'], ...GLOBAL, ['On the photo'], ...ON_PHOTO];
$('key-list').append(...rows.flatMap(([key, label]) => (label === undefined
  ? [make('dt', { className: 'group' }, make('b', { textContent: key })), make('dd')]
  : [make('dt', {}, make('kbd', { textContent: key })), make('dd', { textContent: label })])));

const typing = (target) => target.matches('input[type="text"], select, textarea');
/** Keys that a slider keeps to itself. */
const sliding = (event) => event.target.matches('input[type="range"]') && /^Arrow|^Page|^Home$|^End$/.test(event.key);
const SAME = { '=': '+', '-': '−', Delete: 'Del', ';': ',', ':': '.' };

document.addEventListener('keydown', (event) => {
  const command = event.ctrlKey || event.metaKey;
  const key = event.key.length === 1 ? event.key.toUpperCase() : event.key;
  if (command && key === 'S') {
    event.preventDefault();
    save();
    return;
  }
  if (typing(event.target)) {
    if (event.key === 'Escape' || (event.key === 'Enter' && !event.target.matches('textarea'))) {
      event.target.blur();
      $('stage').focus({ preventScroll: true });
      event.preventDefault();
    }
    return;
  }
  if (command && (key === 'Z' || key === 'Y')) {
    event.preventDefault();
    if (key === 'Y' || event.shiftKey) walk(doc.redo, 'done again');
    else walk(doc.undo, 'undone');
    return;
  }
  if (command || sliding(event)) return;
  if (event.key === 'Escape') {
    stage.escape();
    event.preventDefault();
    return;
  }
  // Where nothing has the focus, keys go to the photo.
  if (document.activeElement === document.body && event.key !== 'Tab') $('stage').focus({ preventScroll: true });
  const onStage = document.activeElement === $('stage');
  if (onStage && stage.stageKey(event)) {
    event.preventDefault();
    return;
  }
  if (event.altKey || !$('keys-on').checked) return;
  const named = SAME[event.key] ?? key;
  const tool = TOOLS.find(([, , k]) => k === named);
  const act = [...GLOBAL, ...ON_PHOTO].find(([k, , does]) => k === named && does);
  if (tool) {
    setTool(tool[0]);
    $('stage').focus({ preventScroll: true });
  } else if (act) act[2]();
  else return;
  event.preventDefault();
});

doc.onChange((what) => {
  if (!work.dragging) doc.measure();
  spine.busy(work.dragging);
  if (what === 'all' || what === 'hand') {
    card.showHand(what === 'all');
    lie.showPhoto();
    showPhotoLine();
    leaves.showLight();
  } else if (what === 'drawn') card.showHand();
  else if (what === 'photo') {
    leaves.showLight();
    card.showHand();
    suggest();
  }
  if (!doc.current()) spine.show(null);
  if (what !== 'drawn') leaves.showLists();
  if (what === 'all') leaves.showLayout();
  keeping.changed();
  schedule.changed();
  materials.showMaterials();
  relightWhereKnown();
  tones.askTones();
  if (!work.dragging) wall.askWall();
  showState();
  showNow();
  marks.redraw();
});

engine.guide().then((address) => { $('guide').href = address; });
leaves.giveRoom(0);
setTool('move');
await open_();
$('title').textContent = work.title;
if (work.printOnly) $('save').firstChild.textContent = 'Print and stop ';
if (!work.surfaces.length && work.photos.length) setTool('rub');
$('stage').focus({ preventScroll: true });
