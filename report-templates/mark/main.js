// The page as a whole: tools, keys, saving, and what is told to the user.
import { Problem, ask } from './ask.js';
import * as column from './column.js';
import * as materials from './materials.js';
import { whereabouts } from './shapes.js';
import * as stage from './stage.js';
import * as doc from './work.js';

const { work } = doc;
const { pen } = stage;
const $ = (id) => document.getElementById(id);

const TOOLS = [
  ['move', 'Move', 'V', 'Click a surface to take it up; drag its corners, or the shape at hand. Drag elsewhere to move the photo.'],
  ['outline', 'Outline', 'D', 'Click corner after corner, or drag a box. A click on the first corner closes.'],
  ['leave-out', 'Leave out', 'L', 'Draw inside the surface at hand what does not belong to it, one after the other.'],
  ['band', 'Band', 'B', 'Draw on the hillside at hand a strip that lies at one distance.'],
  ['place', 'Dirt', 'T', 'Draw on the surface at hand where dirt gathers.'],
  ['suggest', 'Suggest', 'R', 'Click a suggested region to make it a surface.'],
  ['card', 'Grey card', 'G', 'Click the grey card (18 % reflectance).'],
  ['neutral', 'Neutral', 'N', 'Click something that is grey or white in truth.'],
  ['chart', 'Chart', 'K', ''],
];
const CHART = ['Click the chart’s outer corner at patch 1 (dark brown).', 'Now the corner at patch 6 (end of the first row).',
  'Now the corner at patch 24 (black).', 'Now the corner at patch 19 (white).'];

/** Tools that draw within the surface at hand. */
const INSIDE = ['leave-out', 'band', 'place'];
/** Whether the surface at hand can take what a tool draws: bands and places lie in its first photo. */
const canHold = (tool) => Boolean(doc.part()) && (tool === 'leave-out' || work.part === 0);
const FIRST = 'First take up a surface on this photo; bands and dirt lie on the first photo of a surface.';

// What is told.

function say(words) {
  $('said').textContent = words;
}

/** A notice above the photo; it stays until it is answered. */
function notice(id, words, actions = [], urgent = false) {
  $(id)?.remove();
  if (!words) return;
  const box = column.make('div', { className: 'notice', id, role: urgent ? 'alert' : 'status' }, column.make('p', { textContent: words }));
  for (const [label, act] of actions) box.append(column.make('button', { type: 'button', textContent: label, onclick: act }));
  $('notices').append(box);
}

const sentence = (words) => `${words[0].toUpperCase()}${words.slice(1)}${/[.!?…]$/.test(words) ? '' : '.'}`;

function failed(problem, id = 'problem') {
  if (problem.changed) {
    changedMeanwhile();
    return;
  }
  const hint = problem.hint ? ` ${sentence(problem.hint)}` : '';
  notice(id, sentence(problem.message) + hint, [['Close', () => notice(id)]], true);
}

function changedMeanwhile() {
  const lost = doc.unsaved() ? ' What is drawn here and not saved would be lost.' : '';
  notice('changed', `${work.file} has changed since this page read it.${lost}`, [
    ['Load it as it is now', () => { notice('changed'); open_(); }],
    ['Put my drawing into it', () => { notice('changed'); save(true); }],
  ], true);
}

function showState() {
  const n = work.changes === work.savedAt ? 0 : 1;
  $('state').textContent = work.printOnly ? 'Nothing is written; it prints when done' : n ? 'Not saved' : work.unwritten ? `${work.file} is not made yet` : `As in ${work.file}`;
  $('undo').disabled = work.done.length === 0;
  $('redo').disabled = work.undone.length === 0;
  document.title = `${n ? '• ' : ''}${work.title}: regions on photos`;
}

/** What to do now, in words; and buttons for what is being drawn. */
function showNow() {
  const [, , , words] = TOOLS.find(([tool]) => tool === pen.tool);
  let now = words;
  const buttons = [];
  const button = (label, key, act) => column.make('button', { type: 'button', onclick: act }, `${label} `, column.make('kbd', { textContent: key }));
  if (pen.draft.length) {
    now = pen.draft.length < 3 ? `${pen.draft.length === 1 ? 'One corner' : 'Two corners'} set. Click the next.` : `${pen.draft.length} corners set. Close it, or click the next.`;
    if (pen.draft.length >= 3) buttons.push(button('Close', 'C', stage.close));
    buttons.push(button('Take back', '⌫', stage.takeBack));
  } else if (pen.tool === 'chart') {
    now = CHART[pen.chart.length];
    if (pen.chart.length) buttons.push(button('Take back', '⌫', stage.takeBack));
  } else if (INSIDE.includes(pen.tool) && !canHold(pen.tool)) {
    now = FIRST;
  } else if (pen.tool === 'suggest' && pen.suggestions?.length === 0) {
    now = 'Nothing on this photo stands out enough to suggest. Draw it yourself.';
  } else if (pen.tool === 'suggest' && !pen.suggestions) now = 'Looking for regions…';
  $('now').textContent = now;
  $('doing').replaceChildren(...buttons);
  for (const b of $('tools').children) b.setAttribute('aria-pressed', String(b.dataset.tool === pen.tool));
}

function showPhotoLine() {
  const photo = doc.photo();
  $('photo-name').textContent = photo ? `${photo.key} (${work.photo + 1} of ${work.photos.length})` : 'No photo';
  $('photo-before').disabled = work.photos.length < 2;
  $('photo-after').disabled = work.photos.length < 2;
  $('stage').setAttribute('aria-label', photo ? `Photo “${photo.key}”, ${photo.file}` : 'Photo');
}

// What the tools do.

function setTool(tool) {
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
  stage.redraw();
}

let alsoHere = false;

stage.setHooks({
  say,
  failed,
  pointed: (at) => column.showColour(at),
  tool: showNow,
  drawn: () => { $('zoom-is').textContent = stage.zoomWords(); },
  drew(points) {
    const here = doc.part();
    if (INSIDE.includes(pen.tool)) {
      if (!canHold(pen.tool)) {
        say(FIRST);
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
      doc.change('leave-out drawn', () => {
        here.leave_out.push({ was: null, outline: points });
        doc.choose(doc.current(), here.leave_out.length - 1, null, work.part);
      });
      say('left out; draw the next, or press V to move corners');
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
    column.showLight();
    if (photo === doc.photo()) stage.showPhoto();
    column.askTones();
  } catch (problem) {
    failed(problem);
    doc.undo();
  }
}

column.setHooks({
  goTo: (key) => goToPhoto(work.photos.findIndex((p) => p.key === key)),
  alsoHere: () => {
    alsoHere = true;
    setTool('outline');
    $('stage').focus();
  },
  removeCorner: () => stage.removeCorner(),
  removeShape: () => removeShape(),
  nextShape: () => stage.nextShape(),
  forgetLight: () => changeLight((light) => {
    if (light.chart) light.chart = null;
    else if (light.neutral) light.neutral = null;
    else light.estimate = false;
  }),
  estimateLight: () => changeLight((light) => { light.estimate = true; }),
  choose: (surface) => {
    takeUp(surface);
    toView();
  },
});

materials.setTell(say);

function removeShape() {
  if (!doc.part() && !doc.current()?.like) return;
  const words = `${work.shape < 0 ? doc.current().name : doc.shapeWords()} deleted`;
  doc.change('deleted', doc.removeShape);
  say(`${words}; Z brings it back`);
  doc.tell('all');
}

/** Scrolls so that what was just taken up is seen: the column's top where it stands beside the photo, else the photo. */
function toView() {
  const beside = $('loupe').getBoundingClientRect().left > $('stage').getBoundingClientRect().right;
  const top = beside ? $('loupe') : $('photo-line');
  if (top.getBoundingClientRect().top < 0) top.scrollIntoView({ block: 'start' });
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

let saving = false;
async function save(over = false) {
  if (saving) return;
  doc.end();
  saving = true;
  try {
    const told = await ask('save', { base: work.digest, drawing: doc.drawing(), over });
    if (told.printed) {
      document.body.replaceChildren(column.make('main', {}, column.make('h1', { textContent: 'Printed' }), column.make('p', { textContent: 'The scene stands in the terminal; nothing was written. This page can be closed.' })));
      return;
    }
    if (over) {
      // Others' changes are in the file too: read it whole.
      work.changes = work.savedAt;
      await open_();
    } else doc.saved(told);
    notice('problem');
    notice('changed');
    notice('saved', `Saved: ${told.wrote.join(' and ')}. Next: hillwash plan "${told.scene}"`, [['Close', () => notice('saved')]]);
    say('saved');
  } catch (problem) {
    failed(problem);
  } finally {
    saving = false;
    showState();
  }
}

async function open_() {
  try {
    const told = await ask('hello');
    doc.load(told);
    if (told.later) secondPage();
    if (!work.photos.length) notice('problem', 'The scene names no photo: add one to it first.', [], true);
  } catch (problem) {
    failed(problem);
  }
}

let second = false;
function secondPage(later = true) {
  if (later && !second) {
    notice('second', `${work.file} is open in another tab of this program. Draw in one of them: what the other saves first has to be loaded here.`, [], true);
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
  ['E', 'Name what is at hand', () => { const field = $('zone-name') ?? $('name'); field?.focus(); field?.select(); }],
  ['[', 'Photo before', () => goToPhoto(work.photo - 1)], [']', 'Next photo', () => goToPhoto(work.photo + 1)],
  ['Q', 'Next surface', () => nextSurface(1)], ['A', 'Surface before', () => nextSurface(-1)],
  ['+', 'Zoom in', () => stage.zoom(1.5)], ['−', 'Zoom out', () => stage.zoom(1 / 1.5)],
  ['0', 'Fit the photo', stage.fit], ['1', 'True pixels', stage.truePixels],
  ['P', 'To the photo', () => $('stage').focus()],
  ['H', 'Hint and keys', () => help()],
];
const ON_PHOTO = [
  ['← → ↑ ↓', 'Move the crosshair, or the corner at hand; with Shift by single steps, with Alt the whole shape'],
  ['Enter', 'Set a corner, take up what is under the crosshair, take a suggestion'],
  ['C', 'Close the outline', () => stage.close()],
  ['⌫', 'Take the last corner back'],
  [',', 'Corner or suggestion before', () => stage.turn(-1)], ['.', 'Next corner or suggestion', () => stage.turn(1)],
  ['I', 'Add a corner behind the one at hand', () => stage.insertCorner()],
  ['M', 'Next shape: outline, leave-outs, bands, dirt', () => stage.nextShape()],
  ['Del', 'Delete corner or shape', () => { if (!stage.removeCorner()) removeShape(); }],
  ['Esc', 'Give up what is being drawn; back to choosing'],
];

function help() {
  const open = !$('keys').open;
  $('keys').open = open;
  $('hint').hidden = !open;
  if (open) $('keys').scrollIntoView({ block: 'nearest' });
}

for (const [tool, label, key] of TOOLS) {
  const b = column.make('button', { type: 'button', onclick: () => { setTool(tool); $('stage').focus({ preventScroll: true }); } }, `${label} `, column.make('kbd', { textContent: key }));
  b.dataset.tool = tool;
  $('tools').append(b);
}
for (const [id, act] of [
  ['undo', () => walk(doc.undo, 'undone')], ['redo', () => walk(doc.redo, 'done again')], ['save', () => save()],
  ['photo-before', () => goToPhoto(work.photo - 1)], ['photo-after', () => goToPhoto(work.photo + 1)],
  ['zoom-in', () => stage.zoom(1.5)], ['zoom-out', () => stage.zoom(1 / 1.5)], ['zoom-fit', stage.fit], ['zoom-true', stage.truePixels],
  ['hint-off', () => { $('hint').hidden = true; }],
]) $(id).addEventListener('click', act);

const rows = [['Tools'], ...TOOLS.map(([, label, key]) => [key, label]), ['Anywhere'], ...GLOBAL, ['On the photo'], ...ON_PHOTO];
$('key-list').append(...rows.flatMap(([key, label]) => (label === undefined
  ? [column.make('dt', { className: 'group' }, column.make('b', { textContent: key })), column.make('dd')]
  : [column.make('dt', {}, column.make('kbd', { textContent: key })), column.make('dd', { textContent: label })])));

const typing = (target) => target.matches('input[type="text"], select, textarea');
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
    if (event.key === 'Enter' || event.key === 'Escape') {
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
  if (command) return;
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
  if (what === 'all' || what === 'hand') {
    column.showHand(what === 'all');
    stage.showPhoto();
    showPhotoLine();
    column.showLight();
  } else if (what === 'drawn') column.showHand();
  else if (what === 'photo') {
    column.showLight();
    column.showHand();
    suggest();
  }
  if (what !== 'drawn') column.showList();
  materials.showMaterials();
  relightWhereKnown();
  column.askTones();
  showState();
  showNow();
  stage.redraw();
});

$('title').textContent = '';
setTool('move');
await open_();
$('title').textContent = work.title;
$('hint').hidden = work.surfaces.length > 0;
if (work.printOnly) $('save').firstChild.textContent = 'Print and stop ';
if (!work.surfaces.length) setTool('outline');
$('stage').focus({ preventScroll: true });
