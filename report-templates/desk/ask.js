// Questions to whoever answers this page.
import * as engine from './engine.js';

export const page = Array.from(crypto.getRandomValues(new Uint8Array(8)), (b) => b.toString(16).padStart(2, '0')).join('');
let number = 0;

/** What went wrong, in words for the user. */
export class Problem extends Error {
  constructor(words, hint, changed = false) {
    super(words);
    this.hint = hint;
    this.changed = changed;
  }
}

/** Asks; null when the question was overtaken by a newer one. `large` is told of what is too large, in words and a hint. */
async function put(address, body, large, options) {
  let answer;
  try {
    answer = await engine.ask(address, body, options);
  } catch {
    throw new Problem(...engine.stopped);
  }
  const { status, told } = answer;
  if (status === 204) return null;
  if (status === 409) throw new Problem('The scene file has changed since this page read it.', null, true);
  if (status === 413) throw new Problem(...large);
  if (status !== 200) throw new Problem(told.problem ?? `The program refused (${status}).`, told.hint);
  return told;
}

/** Asks in words. */
export function ask(name, what = {}, options = {}) {
  number += 1;
  return put(name, JSON.stringify({ page, number, ...what }), ['That drawing is too large to send.', 'Use fewer corners.'], options);
}

/** Gives a file, and says what it is. */
export const give = (name, about, file) => put(`${name}?${new URLSearchParams({ name: file.name, page, ...about })}`, file,
  [`${file.name} is larger than it may be.`, 'Save it smaller first.']);

/** Asks about the newest only: one question is on its way at a time, and what waits is replaced by what comes after. */
export class Newest {
  constructor(name) {
    this.name = name;
    this.waiting = null;
    this.busy = false;
    this.under = null;
  }

  put(what, done) {
    this.waiting = { what, done };
    if (!this.busy) this.next();
  }

  /** Forgets what waits, and what is under way: its answer is told to nobody. */
  drop() {
    this.waiting = null;
    this.under = null;
  }

  async next() {
    this.busy = true;
    while (this.waiting) {
      const one = this.waiting;
      this.waiting = null;
      this.under = one;
      const told = (answer, problem) => this.under === one && one.done(answer, problem);
      try {
        const answer = await ask(this.name, one.what);
        if (answer) told(answer, null);
      } catch (problem) {
        told(null, problem);
      }
    }
    this.busy = false;
  }
}

/** An address of what is shown of a photo, in an image, while it is being read. */
export const preview = (image) => engine.preview(image);

/** An address of a picture. */
export const picture = (name, asked) => engine.picture(`${name}?${new URLSearchParams(asked)}`);
