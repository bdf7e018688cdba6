// Who answers the page, and where its files live. There are two: this one, the program on this machine that serves the
// page; and `../web/engine.js`, the same core run by the browser itself. Both offer the same few functions.

/** Asks: an address, and JSON as text or a file as it is. Gives the status and what was told. */
export async function ask(address, body, options = {}) {
  const kind = typeof body === 'string' ? 'application/json' : 'application/octet-stream';
  const answer = await fetch(address, { method: 'POST', headers: { 'content-type': kind }, body, ...options });
  return { status: answer.status, told: await answer.json().catch(() => ({})) };
}

/** What is told when nobody answers, and how to mend it. */
export const stopped = ['The program does not answer: it has stopped.', 'Start it again, then load this page by its new address.'];

/** An address at which an image shows a picture. */
export const picture = async (address) => address;

/** An address of what is shown of a photo while it is being read. */
export const preview = async (image) => image.src;

/** Shows a page in a frame. */
export async function show(frame, address) {
  frame.src = `${address}?${Math.round(performance.now())}`;
}

/** An address from which a file is saved. */
export const file = async (address) => address;

/** Where the guide is. */
export const guide = async () => 'guide.html';

/** The layout as a whole lies in its folder: there is nothing to load and save here. */
export const layout = null;
