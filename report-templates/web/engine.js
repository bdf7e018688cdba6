// Who answers the page, and where its files live: here the browser itself, with the core in a worker and the files in its
// own storage. `../desk/engine.js` is the other one; both offer the same few functions.

const text = (id) => document.getElementById(id).textContent;

/** What an element holds as base64; it is wanted once. */
function bytes(id) {
  const inside = text(id).trim();
  document.getElementById(id).remove();
  if (Uint8Array.fromBase64) return Uint8Array.fromBase64(inside).buffer;
  return Uint8Array.from(atob(inside), (c) => c.charCodeAt(0)).buffer;
}

/** The core, packed: in this very file, or beside it where the page lies on a web space. */
async function packed() {
  if (text('core')) return bytes('core');
  return (await fetch('hillwash.core')).arrayBuffer();
}

const worker = new Worker(URL.createObjectURL(new Blob([text('worker')], { type: 'text/javascript' })));
const waiting = new Map();
let count = 0;

worker.onmessage = ({ data }) => {
  waiting.get(data.id)?.(data);
  waiting.delete(data.id);
};

/** Sends the worker something, and waits for what it says to it. */
function put(what, give = []) {
  count += 1;
  const id = count;
  return new Promise((done) => {
    waiting.set(id, done);
    worker.postMessage({ id, ...what }, give);
  });
}

const title = 'My layout';
const begun = packed().then((core) => put({ act: 'begin', core, example: bytes('example'), title }, [core]));

async function answered(address, body) {
  await begun;
  return put({ act: 'ask', address, body });
}

const told = (answer) => ({ status: answer.status, told: answer.bytes.byteLength ? JSON.parse(new TextDecoder().decode(answer.bytes)) : {} });

/** Asks: an address, and JSON as text or a file as it is. Gives the status and what was told. */
export const ask = async (address, body) => told(await answered(address, body));

/** What is told when nobody answers, and how to mend it. */
export const stopped = ['This page has stopped answering.', 'Load it again: what is drawn is kept.'];

async function blob(address) {
  const answer = await answered(address, '');
  return answer.status === 200 ? new Blob([answer.bytes], { type: answer.kind }) : null;
}

/** Pictures that may still be looked at; older ones are let go of. */
const shown = [];
const MOST_SHOWN = 8;

function kept(picture) {
  const url = URL.createObjectURL(picture);
  shown.push(url);
  if (shown.length > MOST_SHOWN) URL.revokeObjectURL(shown.shift());
  return url;
}

/** An address at which an image shows a picture. */
export async function picture(address) {
  const found = await blob(address);
  if (!found) throw new Error('there is no picture to show');
  return kept(found);
}

/** Long side of what is shown of a photo while it is being read. */
const PREVIEW = 1600;

/** An address of that: a smaller picture, for a browser keeps all that it has drawn of a large one. */
export async function preview(image) {
  const by = PREVIEW / Math.max(image.naturalWidth, image.naturalHeight);
  if (by >= 1) return image.src;
  const [width, height] = [image.naturalWidth, image.naturalHeight].map((side) => Math.max(1, Math.round(by * side)));
  const small = await createImageBitmap(image, { resizeWidth: width, resizeHeight: height, resizeQuality: 'low' });
  image.src = '';
  const canvas = new OffscreenCanvas(width, height);
  canvas.getContext('2d').drawImage(small, 0, 0);
  small.close();
  return kept(await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.9 }));
}

/** Shows a page in a frame. */
export async function show(frame, address) {
  frame.srcdoc = await (await blob(address)).text();
}

/** An address from which a file is saved. */
export async function file(address) {
  const url = URL.createObjectURL(await blob(address));
  setTimeout(() => URL.revokeObjectURL(url), 60000);
  return url;
}

/** Where the guide is. */
export const guide = async () => URL.createObjectURL(new Blob([text('guide-page')], { type: 'text/html' }));

/** What is done with all files at once. Each gives a status, and what is told. */
export const layout = {
  /** All files as one. */
  async pack(date) {
    await begun;
    const answer = await put({ act: 'pack', date });
    if (answer.status !== 200) throw new Error(told(answer).told.problem);
    return new Blob([answer.bytes], { type: answer.kind });
  },
  async load(given) {
    await begun;
    return told(await put({ act: 'load', file: given }));
  },
  async clear() {
    await begun;
    return told(await put({ act: 'clear' }));
  },
  async example() {
    await begun;
    return told(await put({ act: 'example' }));
  },
  /** A folder of this machine, where the browser lets one be opened; null when none was chosen. */
  folder: typeof showDirectoryPicker === 'function' ? async () => {
    let handle;
    try {
      handle = await showDirectoryPicker({ mode: 'readwrite' });
    } catch {
      return null;
    }
    await begun;
    return told(await put({ act: 'folder', handle }));
  } : null,
};

if (navigator.storage?.persist) navigator.storage.persist().catch(() => false);
if (document.querySelector('link[rel="manifest"]')) navigator.serviceWorker?.register('sw.js').catch(() => null);
