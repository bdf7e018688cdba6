// The core of the web edition, run by Node.js as the page's worker runs it: files in a map, questions in, answers out.
import { readFileSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';

/** All files of a folder by their names, those in folders within it too. */
export function folderOf(path, inside = '') {
  const files = new Map();
  for (const name of readdirSync(join(path, inside)).sort()) {
    const whole = inside ? `${inside}/${name}` : name;
    if (statSync(join(path, whole)).isDirectory()) for (const [n, b] of folderOf(path, whole)) files.set(n, b);
    else files.set(whole, new Uint8Array(readFileSync(join(path, whole))));
  }
  return files;
}

export class Core {
  constructor(wasm, files = new Map()) {
    this.files = files;
    const bytes = readFileSync(wasm);
    this.module = new WebAssembly.Module(bytes[0] === 0x1f ? gunzipSync(bytes) : bytes);
    this.begin();
  }

  begin() {
    const name = (at, length) => new TextDecoder().decode(new Uint8Array(this.wasm.memory.buffer, at, length));
    const page = {
      now: () => performance.now(),
      size: (at, length) => this.files.get(name(at, length))?.length ?? -1,
      read: (at, length, to, bytes) => {
        const file = this.files.get(name(at, length));
        if (file?.length !== bytes) return 1;
        new Uint8Array(this.wasm.memory.buffer, to, bytes).set(file);
        return 0;
      },
    };
    this.wasm = new WebAssembly.Instance(this.module, { page }).exports;
  }

  /** Asks; what is written is put among the files. */
  ask(address, body = '') {
    const bytes = typeof body === 'string' ? new TextEncoder().encode(body) : body;
    const line = new TextEncoder().encode(`${address}\n`);
    const to = this.wasm.room(line.length + bytes.length);
    const memory = new Uint8Array(this.wasm.memory.buffer);
    memory.set(line, to);
    memory.set(bytes, to + line.length);
    const length = this.wasm.ask();
    const at = this.wasm.answer();
    const out = new Uint8Array(this.wasm.memory.buffer, at, length).slice();
    this.wasm.done();
    const head = JSON.parse(new TextDecoder().decode(out.subarray(0, out.indexOf(10))));
    let from = out.indexOf(10) + 1;
    const next = (n) => { from += n; return out.slice(from - n, from); };
    const answer = { status: head.status, kind: head.kind, bytes: next(head.length), wrote: [] };
    for (const file of head.wrote) {
      answer.wrote.push(file.name);
      if (file.length === null) this.files.delete(file.name);
      else this.files.set(file.name, next(file.length));
    }
    return answer;
  }

  /** Asks in JSON and is answered in JSON. */
  tell(address, what = {}) {
    const answer = this.ask(address, JSON.stringify({ page: 'test', number: 1, ...what }));
    return { status: answer.status, wrote: answer.wrote, ...(answer.bytes.length ? JSON.parse(new TextDecoder().decode(answer.bytes)) : {}) };
  }

  open(title = 'My layout') {
    return this.tell('open', { title, names: [...this.files.keys()] });
  }
}
