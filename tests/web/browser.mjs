// Checks of hillwash.html in headless Chromium, from a disk: node browser.mjs PROGRAM HILLWASH.HTML CHROMIUM PICTURES
//
// Content is asserted, not pixels; pictures are written for people to look at.
// Accessibility rules: axe-core, tags wcag2a to wcag22aa (W3C, Web Content Accessibility Guidelines 2.2).
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import http from 'node:http';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { BRICK, GRASS, PAINTS, bitmap, clickAt, dragThrough, launch, opened, placed, turnTo, yard } from '../mark/desk.mjs';

const [, , given, html, chromium_path, pictures, only] = process.argv;
const program = resolve(given);
const core = resolve(html, '..', 'hillwash.core');
const require = createRequire(import.meta.url);
const axe_source = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
mkdirSync(pictures, { recursive: true });
const folder = mkdtempSync(join(tmpdir(), 'alone-'));
const whole = readFileSync(html, 'utf8');
const BUSY = 60000;
const waits = { timeout: BUSY };
const PHONE = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2 };

let passed = 0;
let failed = 0;
const browser = await launch(chromium_path);

/** The page at an address of its own, so that what it keeps is its own; `change` may put another text in its place. */
async function check(name, work, change = (text) => text) {
  if (only && !name.includes(only)) return;
  const file = join(folder, `${passed + failed}.html`);
  writeFileSync(file, change(whole));
  const begun = performance.now();
  try {
    await work(pathToFileURL(file).href);
    passed += 1;
    console.log(`ok   ${name} (${Math.round(performance.now() - begun)} ms)`);
  } catch (error) {
    failed += 1;
    console.log(`FAIL ${name}\n     ${String(error.stack).split('\n').slice(0, 8).join('\n     ')}`);
  }
}

const photo = { name: 'yard.bmp', mimeType: 'image/bmp', buffer: bitmap(800, 600, yard) };
const ready = (page) => page.waitForFunction(() => document.getElementById('view').naturalWidth > 0 && document.getElementById('loading').hidden, null, waits);
const kept = (page) => page.waitForFunction(() => /kept/.test(document.getElementById('state').textContent), null, waits);

/** What went out of the page: nothing but itself may have been asked for. */
const outside = (heard) => heard.requests.filter((url) => !/^(file:|blob:|data:|about:)/.test(url));

async function addPhoto(page, file = photo) {
  await page.locator('#files').setInputFiles(file);
  await ready(page);
}

async function drawWall(page, at = [[0.05, 0.1], [0.3, 0.1], [0.3, 0.5], [0.05, 0.5], [0.05, 0.1]]) {
  await page.keyboard.press('d');
  for (const point of at) await clickAt(page, point);
  await page.waitForFunction(() => document.querySelectorAll('.tone').length > 0, null, waits);
}

async function saveAs(page, press) {
  const [download] = await Promise.all([page.waitForEvent('download', waits), press()]);
  const path = join(folder, `down-${Math.random().toString(36).slice(2)}-${download.suggestedFilename()}`);
  await download.saveAs(path);
  return path;
}

/** Unpacked by another zip program. */
function unzipped(path) {
  const out = `${path}-out`;
  execFileSync('python3', ['-m', 'zipfile', '-e', path, out]);
  return out;
}

await check('the whole evening from an empty page: photo, wall, paints, schedule, saved as one file that the terminal plans alike', async (address) => {
  const { page, heard, context } = await opened(browser, address, { acceptDownloads: true }, false);
  await page.locator('#pick-first').waitFor(waits);
  await page.screenshot({ path: join(pictures, 'alone-empty.png') });
  await addPhoto(page);
  await drawWall(page);
  const [brick] = await page.locator('.tone b').allInnerTexts();
  assert.match(brick, /brown|red/);
  await page.locator('#name').fill('Kiln wall');
  await turnTo(page, 'paints');
  await page.locator('#paint-text').fill(PAINTS);
  await page.waitForFunction(() => /5 paints, not kept yet/.test(document.getElementById('paint-told').textContent), null, waits);
  await page.locator('#stage').focus();
  await page.keyboard.press('Control+s');
  await page.locator('#saved').waitFor(waits);
  await turnTo(page, 'paints');
  await page.locator('#paint-text').fill(PAINTS);
  await page.waitForFunction(() => /5 paints, not kept yet/.test(document.getElementById('paint-told').textContent), null, waits);
  await page.locator('#paint-keep').click();
  await page.waitForFunction(() => /^Kept in paints.csv/.test(document.getElementById('paint-told').textContent), null, waits);
  await turnTo(page, 'schedule');
  const schedule = page.frameLocator('#schedule-frame');
  await schedule.locator('h1').first().waitFor(waits);
  assert.ok(await schedule.locator('.step').count() > 0);
  await page.screenshot({ path: join(pictures, 'alone-schedule.png') });
  // A tick is kept, and a link within the schedule stays in it.
  await schedule.locator('.step input').first().check();
  await schedule.locator('a[href^="#"]').first().click();
  assert.ok(await schedule.locator('.step').count() > 0, 'the frame still shows the schedule');
  // For a friend, small or with what solves it again.
  const plain = readFileSync(await saveAs(page, () => page.locator('#schedule-save').click()), 'utf8');
  await page.locator('#schedule-solver').check();
  const solving = readFileSync(await saveAs(page, () => page.locator('#schedule-save').click()), 'utf8');
  assert.ok(!plain.includes('id="core"') && plain.length < 1e6, `${plain.length} bytes`);
  assert.ok(solving.includes('id="core"') && solving.includes(plain.slice(plain.indexOf('<main>'), plain.indexOf('</main>'))));
  // The guide is in the page, pictures and all.
  const [guide] = await Promise.all([page.waitForEvent('popup', waits), page.locator('#guide').click()]);
  await guide.locator('#bench').waitFor(waits);
  assert.ok(await guide.evaluate(() => [...document.images].every((image) => image.naturalWidth > 0)));
  await guide.screenshot({ path: join(pictures, 'alone-guide.png'), fullPage: true });
  await guide.setViewportSize({ width: PHONE.viewport.width, height: PHONE.viewport.height });
  assert.ok(await guide.evaluate(() => document.documentElement.scrollWidth <= window.innerWidth), 'the guide is not too wide for a phone');
  await guide.close();
  await turnTo(page, 'photos');
  const path = await saveAs(page, () => page.locator('#layout-save').click());
  const out = unzipped(path);
  const { date } = JSON.parse(readFileSync(join(out, 'schedule/plan.json'), 'utf8'));
  execFileSync(program, ['plan', join(out, 'scene.toml'), '--out', join(out, 'again'), '--date', date ?? new Date().toISOString().slice(0, 10), '--quiet']);
  for (const name of ['plan.json', 'schedule.html']) assert.ok(readFileSync(join(out, 'again', name)).equals(readFileSync(join(out, 'schedule', name))), name);
  assert.match(readFileSync(join(out, 'scene.toml'), 'utf8'), /name = "Kiln wall"/);
  assert.deepEqual(outside(heard), []);
  assert.deepEqual(heard.console, []);
  // The page may not ask, even if it wanted to.
  assert.equal(await page.evaluate(() => fetch('https://layout.example/').then(() => 'went', () => 'refused')), 'refused');
  await context.close();
});

await check('by finger on a phone: nothing too wide, rubbed, the schedule read, loaded again after the page was closed', async (address) => {
  const { page, heard, context } = await opened(browser, address, PHONE, false);
  await addPhoto(page);
  await page.locator('[data-tool="outline"]').tap();
  for (const at of [[0.55, 0.2], [0.95, 0.2], [0.95, 0.6]]) await page.touchscreen.tap(...await placed(page, at));
  await page.getByRole('button', { name: /^Close/ }).tap();
  await page.waitForFunction(() => /green|olive/.test(document.querySelector('.tone b')?.textContent), null, waits);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  assert.ok(wide <= 0, `${wide} px too wide`);
  const small = await page.evaluate(() => [...document.querySelectorAll('button, select, input[type="text"]')]
    .filter((e) => e.getClientRects().length && (e.offsetHeight < 44 || e.offsetWidth < 44)).map((e) => e.textContent));
  assert.deepEqual(small, []);
  await page.locator('#save').tap();
  await page.locator('#saved').waitFor(waits);
  await page.screenshot({ path: join(pictures, 'alone-390.png'), fullPage: true });
  await page.close();
  const again = await context.newPage();
  await again.goto(address);
  await ready(again);
  assert.match(await again.locator('#state').innerText(), /As in scene.toml/);
  await again.waitForFunction(() => /green|olive/.test(document.querySelector('.tone b')?.textContent), null, waits);
  assert.deepEqual(outside(heard), []);
  await context.close();
});

await check('closed in the middle of drawing, the page takes it up again', async (address) => {
  const { page, context } = await opened(browser, address, {}, false);
  await addPhoto(page);
  await drawWall(page);
  await page.locator('#name').fill('Half a wall');
  await page.locator('#stage').focus();
  await kept(page);
  // As when the power fails: nothing of the page is asked any more.
  await page.close({ runBeforeUnload: false });
  const again = await context.newPage();
  await again.goto(address);
  await again.locator('#resumed').waitFor(waits);
  assert.match(await again.locator('#resumed').innerText(), /Unsaved drawing of/);
  assert.equal(await again.locator('#name').inputValue(), 'Half a wall');
  await context.close();
});

await check('a second tab of the same layout says so, and reads what the first has saved', async (address) => {
  const { page, context } = await opened(browser, address, {}, false);
  await addPhoto(page);
  await drawWall(page);
  const other = await context.newPage();
  await other.goto(address);
  await other.locator('#second').waitFor(waits);
  await page.locator('#stage').focus();
  await page.keyboard.press('Control+s');
  await page.locator('#saved').waitFor(waits);
  await other.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
  await other.locator('#changed').waitFor(waits);
  await page.close();
  await other.evaluate(() => document.dispatchEvent(new Event('visibilitychange')));
  await other.waitForFunction(() => !document.getElementById('second'), null, waits);
  await context.close();
});

await check('a layout file is loaded in place of what is there, after a word; the example is there by one click', async (address) => {
  const { page, context } = await opened(browser, address, { acceptDownloads: true }, false);
  await page.locator('#begin-example').click();
  await ready(page);
  const title = await page.title();
  await turnTo(page, 'photos');
  const path = await saveAs(page, () => page.locator('#layout-save').click());
  await page.locator('#layout-new').click();
  await page.locator('#layout').waitFor(waits);
  await page.locator('#layout button', { hasText: 'Go on' }).click();
  await page.locator('#empty:not([hidden])').waitFor(waits);
  await page.locator('#layout-file').setInputFiles(path);
  await ready(page);
  assert.equal(await page.title(), title);
  // One that is none is refused, and what is there stays.
  await turnTo(page, 'photos');
  await page.locator('#layout-file').setInputFiles({ name: 'cut.zip', mimeType: 'application/zip', buffer: readFileSync(path).subarray(0, 4000) });
  await page.locator('#layout button', { hasText: 'Go on' }).click();
  await page.locator('#problem').waitFor(waits);
  assert.match(await page.locator('#problem').innerText(), /cannot be unpacked/);
  await page.reload();
  await ready(page);
  assert.equal(await page.title(), title);
  await context.close();
});

await check('a panic in the core is one refused action, and the drawing is kept', async (address) => {
  const { page, context } = await opened(browser, address, {}, false);
  await addPhoto(page);
  await drawWall(page);
  await page.keyboard.press('u');
  await page.locator('#problem').waitFor(waits);
  assert.match(await page.locator('#problem').innerText(), /the program stopped and was started again/);
  await page.locator('#problem button').click();
  // The same desk answers on, with what was drawn.
  await page.keyboard.press('v');
  await drawWall(page, [[0.6, 0.2], [0.9, 0.2], [0.9, 0.6], [0.6, 0.6], [0.6, 0.2]]);
  await page.waitForFunction(() => /green|olive/.test(document.querySelector('.tone b')?.textContent), null, waits);
  assert.equal(await page.locator('#surfaces button').count(), 2);
  await page.keyboard.press('Control+s');
  await page.locator('#saved').waitFor(waits);
  await context.close();
}, (text) => {
  // The core runs into `unreachable`, as a panic does: a module of our own in its place for this one question (WebAssembly
  // core specification: magic, version, type, function, export and code sections).
  const trap = '0,97,115,109,1,0,0,0,1,4,1,96,0,0,3,2,1,0,7,5,1,1,116,0,0,10,5,1,3,0,0,11';
  const marked = text.replace('    out = raw(address, given);', `    if (address === 'suggest') new WebAssembly.Instance(new WebAssembly.Module(new Uint8Array([${trap}]))).exports.t();\n    out = raw(address, given);`);
  assert.notEqual(marked, text);
  return marked;
});

await check('full storage is told in words, and nothing is half written', async (address) => {
  const { page, context } = await opened(browser, address, {}, false);
  await addPhoto(page);
  await drawWall(page);
  await kept(page);
  await page.locator('#files').setInputFiles({ ...photo, name: 'second.bmp', buffer: bitmap(900, 700, yard) });
  await page.locator('#problem').waitFor(waits);
  assert.match(await page.locator('#problem').innerText(), /storage is full: nothing was written/);
  await page.locator('#problem button').click();
  await page.locator('#stage').focus();
  await page.keyboard.press('Control+s');
  await page.locator('#saved').waitFor(waits);
  await page.reload();
  await ready(page);
  assert.deepEqual(await page.locator('#photos li').count(), 1);
  await context.close();
}, (text) => {
  // Browsers refuse with this error (W3C, Indexed Database API 3.0, section 5.11); a quota cannot be set for a page on a disk.
  const marked = text.replace('async function store(written, anew = false, handle = undefined) {', `$&\n  if (written.some(([name]) => name === 'second.bmp')) throw new DOMException('no room', 'QuotaExceededError');`);
  assert.notEqual(marked, text);
  return marked;
});

await check('a phone’s HEIC is read, and a photo that is too large is kept smaller, and says so', async (address) => {
  const { page, context } = await opened(browser, address, {}, false);
  await addPhoto(page, { name: 'IMG_1.HEIC', mimeType: 'image/heic', buffer: readFileSync(new URL('../photos/data/photo.heic', import.meta.url)) });
  const [width] = await page.evaluate(() => [document.getElementById('view').naturalWidth]);
  assert.ok(width > 0);
  // One that is too large, by what its header says (ISO/IEC 23008-12, 6.5.3, `ispe`), cannot be drawn smaller by this
  // browser: it is refused, with what to do, and nothing of it is kept.
  const heic = readFileSync(new URL('../photos/data/photo.heic', import.meta.url));
  const ispe = heic.indexOf('ispe') + 8;
  heic.writeUInt32BE(9000, ispe);
  heic.writeUInt32BE(7000, ispe + 4);
  await page.locator('#files').setInputFiles({ name: 'IMG_2.HEIC', mimeType: 'image/heic', buffer: heic });
  await page.locator('#problem').waitFor(waits);
  assert.match(await page.locator('#problem').innerText(), /IMG_2.HEIC: It has 63 million pixels, more than a browser can hold.*[Ss]ave it as JPEG with at most 6000 pixels/);
  await page.locator('#problem button').click();
  assert.equal(await page.locator('#photos li').count(), 1);
  await page.evaluate(async ([brick, grass]) => {
    const canvas = new OffscreenCanvas(8000, 5600);
    const pen = canvas.getContext('2d');
    for (const [colour, x] of [[brick, 0], [grass, 4000]]) {
      pen.fillStyle = `rgb(${colour})`;
      pen.fillRect(x, 0, 4000, 5600);
    }
    const given = new DataTransfer();
    given.items.add(new File([await canvas.convertToBlob({ type: 'image/jpeg' })], 'huge.jpg'));
    const input = document.getElementById('files');
    input.files = given.files;
    input.dispatchEvent(new Event('change'));
  }, [BRICK, GRASS].map(String));
  await page.locator('#smaller').waitFor(waits);
  assert.match(await page.locator('#smaller').innerText(), /It has 45 million pixels.*kept with 25 million pixels/);
  await context.close();
});

await check('a schedule that carries the core is solved again for a friend’s list on a phone, and nothing leaves it', async () => {
  const out = join(folder, 'handed-on');
  execFileSync(program, ['new', join(folder, 'starter'), '--quiet']);
  execFileSync(program, ['plan', join(folder, 'starter/scene.toml'), '--out', out, '--with-solver', '--core', core, '--quiet']);
  const context = await browser.newContext(PHONE);
  const page = await context.newPage();
  const heard = { requests: [] };
  page.on('request', (request) => heard.requests.push(request.url()));
  await page.goto(pathToFileURL(join(out, 'schedule.html')).href);
  await page.locator('#solve').scrollIntoViewIfNeeded();
  await page.screenshot({ path: join(pictures, 'alone-solve-390.png') });
  await page.locator('#solve-file').setInputFiles({ name: 'theirs.csv', mimeType: 'text/csv', buffer: Buffer.from(PAINTS) });
  await page.waitForFunction(() => /Solved for your 5 paints/.test(document.getElementById('solve-told').textContent), null, waits);
  assert.ok(await page.locator('#solve-near li').count() > 0);
  const solved = page.frameLocator('#solve-frame');
  await solved.locator('.step').first().waitFor(waits);
  assert.ok(await solved.locator('.step').count() > 0);
  await page.screenshot({ path: join(pictures, 'alone-solved-390.png'), fullPage: true });
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  assert.ok(wide <= 0, `${wide} px too wide`);
  // A list that is none is told; theirs is a click away.
  await page.locator('#solve-text').fill('name,hex\nmud,none');
  await page.locator('#solve-go').click();
  await page.waitForFunction(() => /found/.test(document.getElementById('solve-told').textContent), null, waits);
  await page.locator('#solve-back').click();
  assert.deepEqual(outside(heard), []);
  assert.equal(await page.evaluate(() => fetch('https://layout.example/').then(() => 'went', () => 'refused')), 'refused');
  await context.close();
});

await check('a web space: opened once it works without a network, is installable, and saves into a folder', async () => {
  const space = join(folder, 'space');
  execFileSync(program, ['site', space, '--core', core, '--quiet']);
  const kinds = { html: 'text/html', js: 'text/javascript', svg: 'image/svg+xml', webmanifest: 'application/manifest+json' };
  const server = http.createServer((request, answer) => {
    const name = new URL(request.url, 'http://localhost').pathname.slice(1) || 'index.html';
    try {
      const bytes = readFileSync(join(space, name));
      answer.writeHead(200, { 'content-type': kinds[name.split('.').pop()] ?? 'application/octet-stream' });
      answer.end(bytes);
    } catch {
      answer.writeHead(404);
      answer.end();
    }
  });
  await new Promise((done) => { server.listen(0, '127.0.0.1', done); });
  const address = `http://localhost:${server.address().port}/`;
  const { page, heard, context } = await opened(browser, address, {}, false);
  await page.locator('#pick-first').waitFor(waits);
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => true));
  const session = await context.newCDPSession(page);
  const { errors, data } = await session.send('Page.getAppManifest');
  assert.deepEqual(errors, []);
  assert.equal(JSON.parse(data).name, 'Hillwash');
  await page.waitForFunction(async () => (await Promise.all((await caches.keys()).map(async (name) => (await (await caches.open(name)).keys()).length))).some((n) => n >= 4), null, waits);
  server.closeAllConnections();
  await new Promise((done) => { server.close(done); });
  await context.setOffline(true);
  await page.goto(address);
  await page.locator('#pick-first').waitFor(waits);
  await addPhoto(page);
  await drawWall(page);
  // A folder of the machine: the browser's own private one stands for it, which has the same interface (WHATWG File System).
  await page.evaluate(() => { window.showDirectoryPicker = () => navigator.storage.getDirectory(); });
  await page.evaluate(async () => {
    const root = await navigator.storage.getDirectory();
    const file = await (await root.getFileHandle('notes.txt', { create: true })).createWritable();
    await file.write('theirs');
    await file.close();
  });
  await turnTo(page, 'photos');
  await page.locator('#layout-folder').click();
  await page.locator('#layout button', { hasText: 'Go on' }).click();
  await page.locator('#empty:not([hidden])').waitFor(waits);
  await addPhoto(page);
  await drawWall(page);
  await page.keyboard.press('Control+s');
  await page.locator('#saved').waitFor(waits);
  const there = await page.evaluate(async () => {
    const root = await navigator.storage.getDirectory();
    const all = {};
    for await (const [name, handle] of root.entries()) all[name] = (await (await handle.getFile()).text()).slice(0, 2000);
    return all;
  });
  assert.deepEqual(Object.keys(there).sort(), ['notes.txt', 'paints.csv', 'scene.toml', 'yard.bmp']);
  assert.match(there['scene.toml'], /\[\[surface\]\]/);
  assert.equal(there['notes.txt'], 'theirs');
  assert.deepEqual(heard.requests.filter((url) => !url.startsWith(address) && !/^(blob:|data:|about:)/.test(url)), []);
  await context.close();
});

await check('axe-core finds no violation, light, dark and narrow', async (address) => {
  for (const [colorScheme, width] of [['light', 1280], ['dark', 390]]) {
    const { page, context } = await opened(browser, address, { bypassCSP: true, colorScheme, viewport: { width, height: 900 } }, false);
    await page.addScriptTag({ content: axe_source });
    const look = async (when) => {
      const { violations, passes } = await page.evaluate(() => window.axe.run(document));
      assert.deepEqual(violations.map((v) => `${when}: ${v.id}: ${v.help} ${v.nodes[0].html.slice(0, 160)}`), []);
      assert.ok(passes.length > 10, 'the rules ran');
    };
    await page.waitForFunction(() => document.getElementById('title').textContent.length > 0, null, waits);
    await look('empty');
    await addPhoto(page);
    await turnTo(page, 'photos');
    await look('photos');
    await context.close();
  }
});

await check('figures: ready, a photo of 12 million pixels, memory', async (address) => {
  // Detail everywhere, as a wall has, packed as a phone packs it; by a page of its own, which leaves nothing behind.
  const maker = await (await browser.newContext()).newPage();
  const jpeg = await maker.evaluate(async () => {
    const canvas = new OffscreenCanvas(4000, 3000);
    const pen = canvas.getContext('2d');
    const pixels = pen.createImageData(4000, 3000);
    let state = 1;
    for (let i = 0; i < pixels.data.length; i += 4) {
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
      const n = (state >>> 27) - 16;
      const brick = Math.floor(i / 4 / 4000 / 60) % 2 ? [150, 80, 60] : [110, 60, 48];
      for (let c = 0; c < 3; c += 1) pixels.data[i + c] = brick[c] + n;
      pixels.data[i + 3] = 255;
    }
    pen.putImageData(pixels, 0, 0);
    const bytes = new Uint8Array(await (await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.9 })).arrayBuffer());
    let text = '';
    for (let i = 0; i < bytes.length; i += 32768) text += String.fromCharCode(...bytes.subarray(i, i + 32768));
    return btoa(text);
  });
  await maker.context().close();
  const file = join(folder, 'twelve.jpg');
  writeFileSync(file, Buffer.from(jpeg, 'base64'));
  const own = await launch(chromium_path);
  const { page } = await opened(own, address, {}, false);
  const ready_ms = await page.evaluate(() => performance.now());
  const of_page = async (what) => {
    const { processInfo } = await (await own.newBrowserCDPSession()).send('SystemInfo.getProcessInfo');
    const of = (id) => Number(new RegExp(`${what}:\\s+(\\d+)`).exec(readFileSync(`/proc/${id}/status`, 'utf8'))?.[1] ?? 0) / 1024;
    return Math.round(Math.max(...processInfo.filter(({ type }) => type === 'renderer').map(({ id }) => of(id))));
  };
  const empty = await of_page('VmRSS');
  const shared = await of_page('RssFile') + await of_page('RssShmem');
  await page.evaluate(() => { document.getElementById('files').addEventListener('change', () => { window.began = performance.now(); }, true); });
  const since = () => page.evaluate(() => Math.round(performance.now() - window.began));
  const quick = { ...waits, polling: 5 };
  const wall = async (right) => { for (const point of [[0.1, 0.1], [right, 0.1], [right, 0.9], [0.1, 0.9], [0.1, 0.1]]) await clickAt(page, point); };
  const told = () => page.waitForFunction(() => document.querySelectorAll('.tone').length > 0, null, quick);
  await page.locator('#files').setInputFiles(file);
  await page.waitForFunction(() => document.getElementById('view').naturalWidth > 0, null, quick);
  const seen = await since();
  // A wall can be drawn as soon as the photo is seen; its tones are there when its colours are read.
  await page.keyboard.press('d');
  await wall(0.9);
  const drawn = await since();
  await told();
  const tones = await since();
  await ready(page);
  const read = await since();
  await page.keyboard.press('Delete');
  await page.keyboard.press('d');
  await wall(0.8);
  const again = await since();
  await told();
  const later = await since() - again;
  console.log(`     page ready ${Math.round(ready_ms)} ms; 12 MP photo (${(jpeg.length * 0.75 / 1e6).toFixed(1)} MB): seen ${seen}, a wall of most of it drawn ${drawn}, its tones ${tones}, all of the photo read ${read}; another wall to tones ${later} ms; the page's process ${empty} MB empty (${shared} of it the browser's own files), ${await of_page('VmHWM')} MB at most`);
  assert.ok(ready_ms < 5000 && tones < 20000 && later < 10000, 'far slower than it may be');
  await own.close();
});

await browser.close();
rmSync(folder, { recursive: true, force: true });
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
