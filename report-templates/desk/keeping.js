// What is drawn and not saved is kept beside the scene, a moment after each change.
import { ask, page } from './ask.js';
import * as doc from './work.js';

const { work } = doc;
const hooks = {};
/** Sets what is called: failed(problem), shown() after something was kept. */
export const setHooks = (given) => Object.assign(hooks, given);

/** So long after a change (ms) it is kept. */
const SOON = 250;
let waiting = 0;
/** When what is drawn was kept last; and the change that was. */
let keptAt = 0;
let kept = null;
let told = false;
/** By what name this page's drawing is kept: another for each that it took up, so that the one before stays. */
let taken = 0;
/** By what name the drawing that was taken up is kept, until this page keeps it. */
let from = null;
const by = () => (taken ? `${page}.${taken}` : page);

/** What is drawn now is a draft that was taken up: it is kept already. */
export function takeUp(draft) {
  clearTimeout(waiting);
  taken += 1;
  from = draft.page;
  [kept, keptAt] = [work.changes, Date.now()];
}

const now = () => new Date().toLocaleString('en-GB', { dateStyle: 'medium', timeStyle: 'short' });

async function keep() {
  if (!doc.unsaved() || work.changes === kept || work.printOnly) return;
  const { changes } = work;
  try {
    await ask('keep', { ...names(), draft: { base: work.digest, at: now(), drawing: doc.drawing() } });
    [kept, keptAt, told] = [changes, Date.now(), false];
    hooks.shown();
  } catch (problem) {
    // Said once: it is tried again with the next change.
    if (!told) hooks.failed(problem);
    told = true;
  }
}

/** Something may have changed. */
export function changed() {
  if (work.dragging || work.printOnly) return;
  clearTimeout(waiting);
  if (doc.unsaved()) waiting = setTimeout(keep, SOON);
  else if (kept !== null) letGo();
}

/** It is being saved: what waits to be kept need not be. */
export const hold = () => clearTimeout(waiting);

/** Under what names this page's drawing is kept: what is saved is kept no more. */
export const names = () => ({ by: by(), from });

/** Everything is saved. */
export function saved() {
  clearTimeout(waiting);
  [kept, keptAt, from] = [null, 0, null];
}

/** Goes on to another drawing: this one stays kept. */
export async function leave() {
  clearTimeout(waiting);
  await keep();
  [kept, keptAt, from] = [null, 0, null];
}

/** What was kept is wanted no more. */
export function letGo() {
  const what = { ...names(), draft: null };
  saved();
  return ask('keep', what).catch(() => {});
}

/** "kept 2 s ago". */
export function words() {
  if (work.changes !== kept) return 'Not saved';
  const ago = Math.round((Date.now() - keptAt) / 1000);
  return ago < 60 ? `Not saved; kept ${ago} s ago` : `Not saved; kept ${Math.round(ago / 60)} min ago`;
}
setInterval(() => { if (keptAt) hooks.shown(); }, 5000);
