// How much a rub has in common with what a person outlined: node rubbing.mjs PROGRAM [ROWS [OUTLINES PHOTOS]]
//
// The outlines are those of the bundled scene, and where a file of more is named (`outlines.json`) those, of photos in
// the folder PHOTOS; what is not there is passed over. Each is rubbed once, as a finger would: so many rows across it (4), each
// from near one end to near the other, what is left out not touched. Told is intersection over union with the outline and
// its leave-outs, after that one rub and at the best reach of those that "take in more" and "take in less" lead to; how
// many corners; and how long the program worked. Measures; tests nothing.
import { appendFileSync, copyFileSync, cpSync, existsSync, readFileSync } from 'node:fs';
import http from 'node:http';
import { join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Desk, cookies } from './desk.mjs';

const [, , program, rows_ = '4', more, photos] = process.argv;
const ROWS = Number(rows_);
const scene = fileURLToPath(new URL('../../sample-photos/brewery-yard', import.meta.url));
const desk = new Desk(resolve(program));
cpSync(scene, desk.folder, { recursive: true });
const outlined = more ? JSON.parse(readFileSync(more, 'utf8')).filter((it) => existsSync(join(photos, it.photo))) : [];
const files = [...new Set(outlined.map((it) => it.photo))];
for (const [i, file] of files.entries()) {
  copyFileSync(join(photos, file), join(desk.folder, file));
  appendFileSync(join(desk.folder, 'scene.toml'), `\n[photos.more${i}]\nfile = "${file}"\n`);
}
const address = await desk.serve();
const url = new URL(address);

function ask(name, what) {
  const body = JSON.stringify({ page: 'rubbing', ...what });
  return new Promise((done, fail) => {
    const begun = performance.now();
    const request = http.request({
      host: '127.0.0.1', port: url.port, method: 'POST', path: url.pathname + name,
      headers: { host: url.host, origin: url.origin, cookie: cookies.get(url.host), 'content-type': 'application/json', 'content-length': Buffer.byteLength(body) },
    }, (answer) => {
      let text = '';
      answer.on('data', (data) => { text += data; });
      answer.on('end', () => done({ ...JSON.parse(text), took: performance.now() - begun }));
    });
    request.on('error', fail);
    request.end(body);
  });
}

function inside([x, y], outline) {
  let within = false;
  for (let i = 0, j = outline.length - 1; i < outline.length; j = i, i += 1) {
    const [[ax, ay], [bx, by]] = [outline[i], outline[j]];
    if ((ay > y) !== (by > y) && x < ax + ((y - ay) / (by - ay)) * (bx - ax)) within = !within;
  }
  return within;
}
const holds = (at, outline, holes) => inside(at, outline) && !holes.some((hole) => inside(at, hole));

const N = 400;
function inCommon(a, b) {
  let [both, either] = [0, 0];
  for (let i = 0; i < N * N; i += 1) {
    const at = [((i % N) + 0.5) / N, (Math.floor(i / N) + 0.5) / N];
    const [one, other] = [holds(at, ...a), holds(at, ...b)];
    both += one && other;
    either += one || other;
  }
  return both / either;
}

/** Rows across an outline, as stretches that lie in it. */
function rubOf(outline, holes) {
  const ys = outline.map((p) => p[1]);
  const [top, bottom] = [Math.min(...ys), Math.max(...ys)];
  const strokes = [];
  for (let row = 0; row < ROWS; row += 1) {
    const y = top + ((bottom - top) * (row + 0.5)) / ROWS;
    const runs = [];
    for (let i = 0; i <= 1000; i += 1) {
      const is = i < 1000 && holds([(i + 0.5) / 1000, y], outline, holes);
      if (is && (!runs.length || runs.at(-1).length === 2)) runs.push([i]);
      else if (!is && runs.at(-1)?.length === 1) runs.at(-1).push(i);
    }
    const longest = Math.max(...runs.map(([a, b]) => b - a));
    for (const [a, b] of runs) {
      if (b - a < longest / 4) continue;
      const end = 0.08 * (b - a);
      strokes.push({ points: [[(a + end) / 1000, y], [(b - end) / 1000, y]] });
    }
  }
  return strokes;
}

const told = await ask('hello', {});
const cases = told.surfaces.flatMap((s) => s.parts.map((p) => [s.name, p.photo, p.outline, p.leave_out.map((h) => h.outline)])
  .concat(s.zones.filter((z) => z.kind === 'band').map((z) => [`${s.name}, ${z.name}`, s.parts[0].photo, z.outline, []])));
cases.push(...outlined.map((it) => [it.name, `more${files.indexOf(it.photo)}`, it.outline, it.leave_out]));
const all = [];
const by_reach = new Map();
for (const [name, photo, outline, holes] of cases) {
  const strokes = rubOf(outline, holes);
  await ask('light', { photo, light: { neutral: null, chart: null } });
  let best = [0, 1];
  let once = 0;
  let about = '';
  for (const reach of [1, 1 / 1.3 ** 3, 1 / 1.3 ** 2, 1 / 1.3, 1.3, 1.69, 2.2, 2.86]) {
    const found = await ask('rub', { photo, strokes, reach });
    const share = found.outline ? inCommon([found.outline, found.leave_out], [outline, holes]) : 0;
    if (reach === 1) {
      once = share;
      about = `${found.outline?.length} corners, ${found.leave_out?.length} left out, ${Math.round(found.took)} ms`;
    }
    by_reach.set(reach, (by_reach.get(reach) ?? 0) + share / cases.length);
    if (share > best[0]) best = [share, reach];
  }
  all.push(once);
  console.log(`${name.padEnd(34)} after one rub ${once.toFixed(2)}; at best ${best[0].toFixed(2)} (reach ${best[1].toFixed(2)}); ${about}`);
}
console.log(`mean ${(all.reduce((a, b) => a + b) / all.length).toFixed(3)}, ${all.filter((v) => v >= 0.85).length} of ${all.length} from 0.85 on`);
console.log([...by_reach].map(([reach, mean]) => `reach ${reach.toFixed(2)}: ${mean.toFixed(3)}`).join(', '));
await desk.close();
