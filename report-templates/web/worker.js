// The worker of the page in a browser alone: it runs the core, keeps the layout's files, and answers one question after
// the other. What a question writes is put away whole or not at all before the page is told.
// `host.js` stands before it.

let title = 'My layout';
/** The core as it came, for schedules that are to carry it. */
let packedCore = null;
/** The example, as a layout file. */
let example = null;
/** Why the layout cannot be opened, as an answer; null where it is open. */
let fault = null;
/** The light each photo was last asked about in, so that a core that is started anew sees them so again. */
const lights = new Map();

// Storage: one database, one store; all files that a question writes go in together.

let database = null;
function opened() {
  return new Promise((done, failed) => {
    const asked = indexedDB.open('hillwash', 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore('files');
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error);
  });
}

/** Runs a transaction to its end; `work` is given the store. */
function transaction(mode, work) {
  return new Promise((done, failed) => {
    const all = database.transaction('files', mode, { durability: 'strict' });
    let found = null;
    all.oncomplete = () => done(found?.result);
    all.onerror = () => failed(all.error);
    all.onabort = () => failed(all.error ?? new Error('not written'));
    found = work(all.objectStore('files'));
  });
}

/** The folder that is written to as well, where one was opened. */
let folder = null;
const FOLDER = '/folder';

async function load() {
  files = new Map();
  const [names, all] = [await transaction('readonly', (s) => s.getAllKeys()), await transaction('readonly', (s) => s.getAll())];
  names.forEach((name, i) => { if (name !== FOLDER) files.set(name, all[i]); });
  const handle = names.includes(FOLDER) ? all[names.indexOf(FOLDER)] : null;
  folder = handle && (await handle.queryPermission?.({ mode: 'readwrite' }) ?? 'granted') === 'granted' ? handle : null;
}

/** Puts files away, `null` takes one away; with `anew`, nothing else is left. */
async function store(written, anew = false, handle = undefined) {
  if (folder && handle === undefined) await inFolder(folder, written);
  await transaction('readwrite', (s) => {
    if (anew) s.clear();
    if (handle) s.put(handle, FOLDER);
    for (const [name, blob] of written) if (blob) s.put(blob, name); else s.delete(name);
  });
  if (anew) files = new Map();
  for (const [name, blob] of written) if (blob) files.set(name, blob); else files.delete(name);
  others?.postMessage('written');
}

/** Writes into a folder of this machine, each file whole or not at all. */
async function inFolder(root, written) {
  for (const [name, blob] of written) {
    const parts = name.split('/');
    let here = root;
    for (const part of parts.slice(0, -1)) here = await here.getDirectoryHandle(part, { create: true });
    if (!blob) {
      await here.removeEntry(parts.at(-1)).catch(() => null);
      continue;
    }
    const file = await (await here.getFileHandle(parts.at(-1), { create: true })).createWritable();
    await file.write(blob);
    await file.close();
  }
}

/** Most files that are read from a folder. */
const MOST_FILES = 500;
async function ofFolder(root, inside = '', found = new Map()) {
  for await (const [name, handle] of root.entries()) {
    if (name.startsWith('.') || found.size >= MOST_FILES) continue;
    if (handle.kind === 'file') found.set(`${inside}${name}`, await handle.getFile());
    else if (!inside) await ofFolder(handle, `${name}/`, found);
  }
  return found;
}

// Several tabs of one layout: each reads anew what another has written; all but the first say that they are later ones.

let later = false;
let stale = false;
const others = typeof BroadcastChannel === 'function' ? new BroadcastChannel('hillwash') : null;
if (others) others.onmessage = () => { stale = true; };
const forever = () => new Promise(() => {});
navigator.locks?.request('hillwash', { ifAvailable: true }, (lock) => {
  if (lock) return forever();
  later = true;
  navigator.locks.request('hillwash', () => { later = false; return forever(); });
  return null;
});

// The core.

const open = () => raw('open', JSON.stringify({ title, names: [...files.keys()] })).answer;

/** Starts the core anew from the files that are kept; lights as the page has them, unless they are what it fails at. */
function restart(withLights = true) {
  begin();
  raw('core', packedCore);
  const answer = open();
  fault = answer.status === 200 ? null : answer;
  if (fault) return answer;
  raw('hello', JSON.stringify({ page: 'worker' }));
  if (withLights) {
    try {
      for (const body of lights.values()) raw('light', body);
    } catch {
      lights.clear();
      return restart(false);
    }
  }
  return answer;
}

/** Why something could not be put away, in words. */
function full(cause) {
  if (/quota|space|full/i.test(`${cause?.name} ${cause?.message}`)) {
    return refused('The browser’s storage is full: nothing was written.', 'Save the layout as one file, then take photos out of it, or make room on this device.');
  }
  return refused(`It could not be written: ${cause?.message ?? cause}.`, 'Save the layout as one file.');
}

async function asked(address, body) {
  if (stale) {
    stale = false;
    await load();
  }
  if (fault) return { ...fault, bytes: fault.bytes.slice(0) };
  const [place] = address.split('?');
  const given = body instanceof Blob ? await body.arrayBuffer() : body;
  let out;
  try {
    out = raw(address, given);
  } catch (cause) {
    console.warn(`${place}: ${cause?.message}`);
    restart();
    return refused('That could not be worked out: the program stopped and was started again. Your drawing is safe.');
  }
  if (out.written.length) {
    try {
      await store(out.written);
    } catch (cause) {
      restart();
      return full(cause);
    }
  }
  if (place === 'light' && out.answer.status === 200) lights.set(JSON.parse(given).photo, given);
  if (place === 'hello') lights.clear();
  if (['hello', 'alive'].includes(place) && out.answer.status === 200) {
    // What an earlier tab draws is its own.
    return json(200, { ...JSON.parse(words.decode(out.answer.bytes)), later, ...(later ? { drafts: [] } : {}) });
  }
  return out.answer;
}

/** Long side of what a photo that is too large for a browser is made. */
const FITTING = 6000;
const million = (pixels) => `${Math.round(pixels / 1e6)} million pixels`;

/** A photo as a browser can hold it and what was done to it, or why it cannot. */
async function fitted(file) {
  const bytes = await file.arrayBuffer();
  const told = JSON.parse(words.decode(raw('fits', bytes).answer.bytes));
  if (told.fits !== false) return { file: bytes };
  const found = `It has ${million(told.width * told.height)}, more than a browser can hold at once`;
  let drawn;
  try {
    drawn = await createImageBitmap(file, { resizeWidth: FITTING * Math.min(1, told.width / told.height), resizeQuality: 'high' });
  } catch {
    return { refused: refused(`${found}, and this browser cannot make a photo of its kind smaller`, `In whatever shows your photos, save it as JPEG with at most ${FITTING} pixels on its long side, and add that.`) };
  }
  // What lies on its side in the file is drawn upright, and may still be too long.
  const shrink = Math.min(1, FITTING / Math.max(drawn.width, drawn.height));
  const canvas = new OffscreenCanvas(shrink * drawn.width, shrink * drawn.height);
  canvas.getContext('2d').drawImage(drawn, 0, 0, canvas.width, canvas.height);
  drawn.close();
  const smaller = await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.95 });
  return { file: smaller, smaller: `${found}: it is kept with ${million(canvas.width * canvas.height)}.` };
}

async function photo(address, given) {
  const { file, smaller, refused: why } = await fitted(given);
  if (why) return why;
  const about = new URLSearchParams(address.split('?')[1]);
  if (smaller) about.set('name', about.get('name').replace(/\.[^.]*$/, '.jpg'));
  const answer = await asked(`photo?${about}`, file);
  if (answer.status !== 200 || !smaller) return answer;
  return json(200, { ...JSON.parse(words.decode(answer.bytes)), smaller });
}

/** Puts other files in the place of all. */
async function anew(written, handle = null) {
  const before = files;
  folder = null;
  files = new Map(written);
  lights.clear();
  const answer = restart();
  if (answer.status !== 200) {
    files = before;
    restart();
    return answer;
  }
  try {
    await store(written, true, handle);
  } catch (cause) {
    files = before;
    restart();
    return full(cause);
  }
  folder = handle;
  return answer;
}

/** Puts what a layout file holds in the place of all. */
function unfolded(packed) {
  const { answer, written } = raw('unpack', packed);
  return answer.status === 200 ? anew(written) : answer;
}

const acts = {
  async begin(given) {
    ({ title, core: packedCore, example } = given);
    [database] = await Promise.all([opened(), unpacked(packedCore)]);
    await load();
    return restart();
  },
  async ask({ address, body }) {
    if (address.startsWith('photo?')) return photo(address, body);
    return asked(address, body);
  },
  async pack({ date }) {
    return raw('pack', JSON.stringify({ names: [...files.keys()], date })).answer;
  },
  async load({ file }) {
    return unfolded(await file.arrayBuffer());
  },
  clear: () => anew([]),
  example: () => unfolded(example),
  async folder({ handle }) {
    return anew([...await ofFolder(handle)], handle);
  },
};

/** One after the other. */
let turn = Promise.resolve();

onmessage = ({ data }) => {
  turn = turn.then(async () => {
    let answer;
    try {
      answer = await acts[data.act](data);
    } catch (cause) {
      answer = refused(`That went wrong: ${cause?.message ?? cause}.`, 'Load this page again: what was drawn is kept.');
      if (module && database) restart();
    }
    postMessage({ id: data.id, ...answer }, answer.bytes ? [answer.bytes] : []);
  });
};
