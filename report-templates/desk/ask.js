// Questions to the program this page comes from.

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

/** Asks; null when the question was overtaken by a newer one. */
export async function ask(name, what = {}, options = {}) {
  number += 1;
  let answer;
  try {
    answer = await fetch(name, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ page, number, ...what }),
      ...options,
    });
  } catch {
    throw new Problem('The program does not answer: it has stopped.', 'Start it again, then load this page by its new address.');
  }
  if (answer.status === 204) return null;
  if (answer.status === 409) throw new Problem('The scene file has changed since this page read it.', null, true);
  if (answer.status === 413) throw new Problem('That drawing is too large to send.', 'Use fewer corners.');
  const told = await answer.json().catch(() => ({}));
  if (!answer.ok) throw new Problem(told.problem ?? `The program refused (${answer.status}).`, told.hint);
  return told;
}

/** Asks about the newest only: one question is on its way at a time, and what waits is replaced by what comes after. */
export class Newest {
  constructor(name) {
    this.name = name;
    this.waiting = null;
    this.busy = false;
  }

  put(what, done) {
    this.waiting = { what, done };
    if (!this.busy) this.next();
  }

  drop() {
    this.waiting = null;
  }

  async next() {
    this.busy = true;
    while (this.waiting) {
      const { what, done } = this.waiting;
      this.waiting = null;
      try {
        const answer = await ask(this.name, what);
        if (answer) done(answer, null);
      } catch (problem) {
        done(null, problem);
      }
    }
    this.busy = false;
  }
}

/** An address of a picture. */
export const picture = (name, asked) => `${name}?${new URLSearchParams(asked)}`;
