// The schedule, live: the page that `plan` writes, of what is drawn now.
import { ask, give } from './ask.js';
import * as engine from './engine.js';
import { sentence } from './make.js';
import * as doc from './work.js';

const { work } = doc;
const $ = (id) => document.getElementById(id);
const frame = $('schedule-frame');
const told = $('schedule-told');

/** So long after a change (ms) it is made anew. */
const SOON = 150;
let waiting = 0;
let made = null;
let open = false;
/** The next to be looked at is a friend's. */
let friends = false;

/** Ticks are kept beside the scene too: at another start the page has another address, and the browser does not know them. */
export function takeTicks(ticks) {
  try {
    for (const [store, done] of Object.entries(ticks)) if (store.startsWith('hillwash ')) localStorage.setItem(store, JSON.stringify(done));
  } catch {
    // A browser that keeps nothing keeps no ticks either.
  }
}
window.addEventListener('storage', ({ key, newValue }) => {
  if (key?.startsWith('hillwash ') && newValue) give('ticks', {}, new File([newValue], key)).catch(() => {});
});

export const today = () => {
  const now = new Date();
  return `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, '0')}-${String(now.getDate()).padStart(2, '0')}`;
};

/** Only what is shown as it stands now is given away or printed. */
function current(is) {
  for (const id of ['schedule-save', 'schedule-print']) $(id).disabled = !is;
}
current(false);

async function make() {
  const what = { drawing: doc.drawing(), date: today() };
  const asked = JSON.stringify(what);
  if (asked === made) {
    current(true);
    return;
  }
  told.textContent = made ? 'Working it out again…' : 'Working it out…';
  current(false);
  const begun = performance.now();
  try {
    const answer = await ask('schedule', what);
    if (!answer) return;
    made = asked;
    await engine.show(frame, 'schedule.html');
    frame.hidden = false;
    current(true);
    told.textContent = doc.unsaved() ? 'As drawn now, saved or not.' : `As in ${work.file}.`;
  } catch (problem) {
    made = null;
    told.textContent = `${sentence(problem.message)} ${problem.hint ?? ''}`;
  }
  document.dispatchEvent(new CustomEvent('schedule', { detail: performance.now() - begun }));
}

/** Something may have changed. */
export function changed() {
  if (!open || work.dragging) return;
  current(false);
  clearTimeout(waiting);
  waiting = setTimeout(make, SOON);
}

/** Whether it is being looked at. */
export function show(is) {
  open = is && !friends;
  friends = false;
  if (open) make();
}

/** A friend's schedule is shown in its place, from when this page is turned to until one turns elsewhere. */
export async function showFriend({ title, paints }) {
  made = null;
  friends = true;
  await engine.show(frame, 'schedule.html');
  frame.hidden = false;
  current(true);
  told.textContent = `“${title}” as a friend sent it, solved again for your ${paints} paints, without its photos. Its last section says how near your mixes and theirs will be.`;
}

/** What it was made of may have changed where it cannot be seen from here, as the paints do. */
export function forget() {
  made = null;
  changed();
}

$('schedule-save').addEventListener('click', async () => {
  const link = document.createElement('a');
  link.href = await engine.file($('schedule-solver').checked ? 'schedule.html?solver=1' : 'schedule.html');
  link.download = `${work.title.replace(/[^\p{L}\p{N} -]/gu, '').trim() || 'schedule'}.html`;
  link.click();
});
$('schedule-print').addEventListener('click', () => frame.contentWindow?.print());
