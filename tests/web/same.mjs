// The core of the web edition against the program in a terminal: node same.mjs PROGRAM CORE
//
// The same folder gives the same plan, byte for byte; layout files are read by, and from, another zip program (Python's
// zipfile module, after PKWARE's APPNOTE).
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { Core, folderOf } from './core.mjs';

const [, , given, core_file] = process.argv;
const program = resolve(given);
const OUTPUTS = ['schedule.html', 'plan.json', 'schedule.csv', 'palette.svg', 'palette.tokens.json'];
const DATE = '2026-11-29';
const folder = mkdtempSync(join(tmpdir(), 'web-'));
const run = (...words) => execFileSync(program, [...words, '--quiet'], { cwd: folder, stdio: ['ignore', 'pipe', 'pipe'] });
const python = (...words) => execFileSync('python3', words, { cwd: folder, encoding: 'utf8' });

let failed = 0;
function check(name, work) {
  const begun = performance.now();
  try {
    work();
    console.log(`ok   ${name} (${Math.round(performance.now() - begun)} ms)`);
  } catch (error) {
    failed += 1;
    console.log(`FAIL ${name}\n     ${String(error.stack).split('\n').slice(0, 6).join('\n     ')}`);
  }
}

/** The files of a layout file that the core writes of a folder. */
function packed(path) {
  const core = new Core(core_file, folderOf(path));
  assert.equal(core.open().status, 200);
  const answer = core.ask('pack', JSON.stringify({ names: [...core.files.keys()], date: DATE }));
  assert.equal(answer.status, 200, new TextDecoder().decode(answer.bytes));
  return answer.bytes;
}

run('new', 'starter');
// Without a schedule that somebody made beside the sample scene: each side makes its own.
const yard = join(folder, 'brewery-yard');
cpSync(resolve('sample-photos/brewery-yard'), yard, { recursive: true, filter: (from) => !/[\\/]schedule[^\\/]*$/.test(from) });
for (const [name, path] of [['the starter scene', join(folder, 'starter')], ['the brewery yard', yard]]) {
  check(`${name}: the browser's core and the terminal make the same files, byte for byte`, () => {
    const out = join(folder, `${path.split('/').pop()}-plan`);
    run('plan', join(path, 'scene.toml'), '--out', out, '--date', DATE);
    const core = new Core(core_file);
    core.open();
    const zip = packed(path);
    writeFileSync(join(folder, 'layout.zip'), zip);
    const answer = core.ask('unpack', zip);
    assert.equal(answer.status, 200);
    for (const file of OUTPUTS) {
      const [here, there] = [Buffer.from(core.files.get(`schedule/${file}`)), readFileSync(join(out, file))];
      const at = here.findIndex((byte, i) => byte !== there[i]);
      assert.ok(here.equals(there), `${file} differs from byte ${at}: ${here.subarray(at - 80, at + 80)} | ${there.subarray(at - 80, at + 80)}`);
    }
    // What came in is in it, as it was.
    for (const [file, bytes] of folderOf(path)) assert.ok(Buffer.from(core.files.get(file)).equals(Buffer.from(bytes)), file);
  });
}

check('another zip program unpacks a layout file, and the terminal plans what is in it', () => {
  assert.match(python('-m', 'zipfile', '-t', 'layout.zip'), /Done testing/);
  python('-m', 'zipfile', '-e', 'layout.zip', 'unpacked');
  run('plan', 'unpacked/scene.toml', '--out', 'again', '--date', DATE);
  assert.ok(readFileSync(join(folder, 'again/plan.json')).equals(readFileSync(join(folder, 'unpacked/schedule/plan.json'))));
});

check('a layout packed by another zip program, folder and all, is read', () => {
  python('-m', 'zipfile', '-c', 'other.zip', 'starter/');
  const core = new Core(core_file);
  core.open();
  assert.equal(core.ask('unpack', new Uint8Array(readFileSync(join(folder, 'other.zip')))).status, 200);
  for (const [file, bytes] of folderOf(join(folder, 'starter'))) assert.deepEqual(core.files.get(file), bytes, file);
  assert.equal(core.open().status, 200);
  assert.ok(core.tell('hello').photos.length > 0);
});

check('hostile layout files are refused in words, and the core answers on', () => {
  python('-c', `
import zipfile
def make(name, entries, how=zipfile.ZIP_DEFLATED):
    with zipfile.ZipFile(name, 'w', how) as z:
        for file, content in entries: z.writestr(file, content)
make('leads-out.zip', [('scene.toml', ''), ('../../outside.csv', 'x')])
make('absolute.zip', [('scene.toml', ''), ('/etc/outside', 'x')])
make('none.zip', [('paints.csv', 'name,hex')])
make('many.zip', [('scene.toml', '')] + [(f'{i}.csv', '') for i in range(600)])
with zipfile.ZipFile('large.zip', 'w', zipfile.ZIP_DEFLATED) as z:
    z.writestr('scene.toml', '')
    for i in range(9): z.writestr(f'{i}.bin', bytes(64 << 20))
open('cut.zip', 'wb').write(open('other.zip', 'rb').read()[:5000])
`);
  const core = new Core(core_file);
  core.open();
  const refused = { 'leads-out': /stay in the layout/, absolute: /stay in the layout/, none: /found no scene.toml/, many: /expected at most 500/, large: /512 MB/, cut: /cannot be unpacked/ };
  for (const [name, words] of Object.entries(refused)) {
    const answer = core.ask('unpack', new Uint8Array(readFileSync(join(folder, `${name}.zip`))));
    assert.equal(answer.status, 422, name);
    assert.deepEqual(answer.wrote, [], name);
    assert.match(new TextDecoder().decode(answer.bytes), words);
  }
  assert.equal(core.tell('hello').status, 200);
});

check('questions that make no sense are refused, and what a scene lacks is told', () => {
  const core = new Core(core_file);
  assert.equal(core.tell('hello').status, 422, 'nothing is open yet');
  core.open();
  for (const [address, body, status] of [['nothing', '{}', 404], ['hello', 'no JSON', 400], ['light', '{"page":"a"}', 400], ['cut?photo=a', '', 400], ['view?photo=a', '', 422], ['photo?name=a.jpg', 'no photo', 422]]) {
    assert.equal(core.ask(address, body).status, status, address);
  }
  core.files.set('scene.toml', new TextEncoder().encode('title = 3'));
  const told = core.open();
  assert.equal(told.status, 422);
  assert.match(told.problem, /scene\.toml/);
});

check('a friend’s schedule is solved again as the terminal does it', () => {
  writeFileSync(join(folder, 'theirs.csv'), 'name,hex,medium,opacity\nchalk,#f0efe9,acrylic,opaque\nsoot,#2b2a28,acrylic,opaque\nloam,#6a4a35,acrylic,opaque\nstraw,#c3a05a,acrylic,opaque\nmoss,#5a6a3a,acrylic,opaque\nbrick,#9a4a38,acrylic,opaque\n');
  const received = join(folder, 'starter-plan', 'schedule.html');
  run('plan', received, '--paints', 'theirs.csv', '--out', 'theirs', '--date', DATE);
  const core = new Core(core_file);
  const page = readFileSync(received);
  const list = readFileSync(join(folder, 'theirs.csv'));
  const plan = Buffer.from(/<script type="application\/json" id="plan">(.*?)<\/script>/s.exec(page)[1]);
  const answer = core.ask(`solve?plan=${plan.length}&list=theirs.csv&date=${DATE}`, new Uint8Array(Buffer.concat([plan, list])));
  assert.equal(answer.status, 200, new TextDecoder().decode(answer.bytes).slice(0, 300));
  const solved = Buffer.from(answer.bytes);
  assert.ok(solved.subarray(solved.indexOf(10) + 1).equals(readFileSync(join(folder, 'theirs/schedule.html'))));
  const { near } = JSON.parse(solved.subarray(0, solved.indexOf(10)));
  assert.ok(near.length > 0 && near.every((one) => one.name));
  for (const [body, plan_bytes] of [['name,hex\nx,nothing', plan], ['name,hex\nx,#123456', Buffer.from('{"format":"hillwash.plan/1"}')]]) {
    const refused = core.ask(`solve?plan=${plan_bytes.length}&list=a.csv&date=${DATE}`, new Uint8Array(Buffer.concat([plan_bytes, Buffer.from(body)])));
    assert.equal(refused.status, 422);
  }
});

rmSync(folder, { recursive: true, force: true });
process.exit(failed ? 1 : 0);
