// Runs the core in a worker: a function of its memory is handed a question and gives the answer, and files are read for it.
'use strict';

/** The layout's files by their names; the browser keeps their bytes. */
let files = new Map();
let module = null;
let core = null;

const words = new TextDecoder();
const json = (status, told) => ({ status, kind: 'application/json', bytes: new TextEncoder().encode(JSON.stringify(told)).buffer });
const refused = (problem, hint = null) => json(422, { problem, hint });

/** Makes the core ready from its packed bytes. */
async function unpacked(packed) {
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream('gzip'));
  module = await WebAssembly.compileStreaming(new Response(stream, { headers: { 'content-type': 'application/wasm' } }));
}

/** Starts it anew; what it held is gone. */
function begin() {
  const memory = () => core.memory.buffer;
  const name = (at, length) => words.decode(new Uint8Array(memory(), at, length));
  const page = {
    now: () => performance.now(),
    size: (at, length) => files.get(name(at, length))?.size ?? -1,
    read: (at, length, to, bytes) => {
      try {
        const content = new FileReaderSync().readAsArrayBuffer(files.get(name(at, length)));
        if (content.byteLength !== bytes) return 1;
        new Uint8Array(memory(), to, bytes).set(new Uint8Array(content));
        return 0;
      } catch {
        return 1;
      }
    },
  };
  core = new WebAssembly.Instance(module, { page }).exports;
}

/** Asks the core; gives its answer and what it writes, which is not put away yet. */
function raw(address, body = '') {
  const bytes = typeof body === 'string' ? new TextEncoder().encode(body) : new Uint8Array(body);
  const line = new TextEncoder().encode(`${address}\n`);
  const to = core.room(line.length + bytes.length);
  const memory = new Uint8Array(core.memory.buffer);
  memory.set(line, to);
  memory.set(bytes, to + line.length);
  const length = core.ask();
  const out = new Uint8Array(core.memory.buffer, core.answer(), length);
  const end = out.indexOf(10);
  const head = JSON.parse(words.decode(out.subarray(0, end)));
  let from = end + 1;
  const next = (n) => out.slice(from, from += n);
  const answer = { status: head.status, kind: head.kind, bytes: next(head.length).buffer };
  const written = head.wrote.map((file) => [file.name, file.length === null ? null : new Blob([next(file.length)])]);
  core.done();
  return { answer, written };
}
