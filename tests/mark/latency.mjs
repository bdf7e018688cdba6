// How long one waits for the page: node latency.mjs PROGRAM CHROMIUM PHOTO
//
// The first picture of a photo, what a rub takes in, new tones on screen while a corner is dragged, and the schedule of the
// bundled scene after a change.
//
// A photo of 24 megapixels is made in the browser from the one given, enlarged with noise. In headless Chromium, a corner
// of a surface is dragged with the mouse, 60 steps a second. Told is, for each movement of the mouse, the time from the
// event to the frame that shows tones of that place or a later one: movements that were overtaken wait for those that
// overtook them, and count. Told too is how long the program itself worked on the answers (its Server-Timing header),
// which hangs less on what else the machine does. Build the program with --release.
import { cpSync, readFileSync } from 'node:fs';
import { loadavg } from 'node:os';
import { resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Desk, PAINTS, launch, opened, placed, turnTo } from './desk.mjs';

const [, , program, chromium_path, photo] = process.argv;
const [WIDTH, HEIGHT] = [6000, 4000];
const TARGETS = { median: 50, p95: 120, preview: 500, sharp: 1500, rub: 100, schedule: 1000 };
const WINDOW = { viewport: { width: 1366, height: 768 } };

const browser = await launch(chromium_path);

async function enlarged() {
  const page = await browser.newPage();
  const base64 = await page.evaluate(async ([source, width, height]) => {
    const image = new Image();
    image.src = source;
    await image.decode();
    const canvas = new OffscreenCanvas(width, height);
    const context = canvas.getContext('2d');
    context.imageSmoothingQuality = 'high';
    context.drawImage(image, 0, 0, width, height);
    let state = 1;
    for (let y = 0; y < height; y += 200) {
      const part = context.getImageData(0, y, width, 200);
      for (let i = 0; i < part.data.length; i += 1) {
        if (i % 4 === 3) continue;
        state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
        part.data[i] += (state >>> 29) - 3;
      }
      context.putImageData(part, 0, y);
    }
    const blob = await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.9 });
    const reader = new FileReader();
    reader.readAsDataURL(blob);
    await new Promise((done) => { reader.onload = done; });
    return reader.result.split(',')[1];
  }, [`data:image/jpeg;base64,${readFileSync(photo).toString('base64')}`, WIDTH, HEIGHT]);
  await page.close();
  return Buffer.from(base64, 'base64');
}

const SCENE = (outline) => `title = "Stream"
scale = "1:87"
paints = "paints.csv"
[photos.stream]
file = "stream.jpg"
[[surface]]
name = "Bank"
photo = "stream"
region = ${JSON.stringify(outline)}
`;

const large = await enlarged();
const percentile = (values, p) => [...values].sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(p * values.length))];

for (const [name, outline] of [
  ['a tenth of the photo', [[0.3, 0.3], [0.6, 0.3], [0.6, 0.65], [0.3, 0.65]]],
  ['most of the photo', [[0.2, 0.2], [0.98, 0.02], [0.98, 0.98], [0.02, 0.98]]],
]) {
  const desk = new Desk(resolve(program), { 'scene.toml': SCENE(outline), 'paints.csv': PAINTS, 'stream.jpg': large });
  const { page, context } = await opened(browser, await desk.serve(), { viewport: { width: 1600, height: 950 } });
  await page.locator('.tone').first().waitFor();
  await page.waitForTimeout(1000);
  await page.evaluate(() => {
    window.waiting = [];
    window.told = [];
    window.worked = [];
    new PerformanceObserver((list) => {
      for (const entry of list.getEntries()) if (entry.name.endsWith('/tones')) window.worked.push(entry.serverTiming[0]?.duration ?? 0);
    }).observe({ type: 'resource' });
    document.getElementById('stage').addEventListener('pointermove', (event) => window.waiting.push(event.timeStamp), true);
    document.addEventListener('tones', ({ detail: { asked } }) => {
      const shown = window.waiting.filter((at) => at <= asked);
      window.waiting = window.waiting.filter((at) => at > asked);
      // The frame after next begins when this one has been drawn.
      requestAnimationFrame(() => {
        const channel = new MessageChannel();
        channel.port1.onmessage = () => {
          const now = performance.now();
          window.told.push(...shown.map((at) => now - at));
        };
        channel.port2.postMessage(null);
      });
    });
  });
  const [x, y] = await placed(page, outline[0]);
  await page.mouse.move(x, y);
  await page.evaluate(() => { window.waiting = []; });
  await page.mouse.down();
  for (let i = 1; i <= 240; i += 1) {
    const begun = Date.now();
    await page.mouse.move(x + 60 * Math.sin(i / 20), y + 40 * Math.sin(i / 13));
    await new Promise((done) => { setTimeout(done, Math.max(0, 16 - (Date.now() - begun))); });
  }
  await page.waitForTimeout(500);
  await page.mouse.up();
  const times = await page.evaluate(() => window.told);
  const worked = await page.evaluate(() => window.worked);
  const [median, p95] = [percentile(times, 0.5), percentile(times, 0.95)];
  console.log(`${name}: ${times.length} movements, drag to tones on screen ${median.toFixed(0)} ms median (target ${TARGETS.median}), ${p95.toFixed(0)} ms at 95 % (target ${TARGETS.p95}); the program worked ${percentile(worked, 0.5).toFixed(1)} and ${percentile(worked, 0.95).toFixed(1)} ms on ${worked.length} answers; load ${loadavg()[0].toFixed(1)}`);
  await context.close();
  await desk.close();
}

/** From the address to the first picture, and to the photo read; the browser runs already, the program starts anew each time. */
async function firstPictures(times) {
  const waited = [];
  for (let n = 0; n < times; n += 1) {
    const desk = new Desk(resolve(program), { 'scene.toml': SCENE([[0.3, 0.3], [0.6, 0.3], [0.6, 0.65]]), 'paints.csv': PAINTS, 'stream.jpg': large });
    const early = () => {
      window.looked = [];
      document.addEventListener('load', ({ target }) => target.id === 'view' && window.looked.push(performance.now()), true);
    };
    const { page, context } = await opened(browser, await desk.serve(), { ...WINDOW, early });
    waited.push(await page.evaluate(() => [window.looked[0], window.looked.at(-1)]));
    await context.close();
    await desk.close();
  }
  return [0, 1].map((i) => percentile(waited.map((w) => w[i]), 0.5));
}

/** How long each step of a rub takes, from the finger to the outline. */
async function rubbed() {
  const desk = new Desk(resolve(program), { 'scene.toml': SCENE([[0.3, 0.3], [0.6, 0.3], [0.6, 0.65]]), 'paints.csv': PAINTS, 'stream.jpg': large });
  const { page, context } = await opened(browser, await desk.serve(), WINDOW);
  await page.locator('.tone').first().waitFor();
  await page.evaluate(() => {
    window.steps = [];
    document.addEventListener('rubbed', ({ detail }) => window.steps.push(detail));
  });
  await page.keyboard.press('r');
  for (const [from, to] of [[[0.1, 0.8], [0.4, 0.9]], [[0.5, 0.2], [0.8, 0.3]], [[0.6, 0.6], [0.9, 0.8]]]) {
    const [[x, y], [x2, y2]] = [await placed(page, from), await placed(page, to)];
    await page.mouse.move(x, y);
    await page.mouse.down();
    for (let i = 1; i <= 40; i += 1) {
      await page.mouse.move(x + ((x2 - x) * i) / 40, y + ((y2 - y) * i) / 40);
      await new Promise((done) => { setTimeout(done, 16); });
    }
    await page.mouse.up();
    await page.waitForTimeout(700);
  }
  const steps = await page.evaluate(() => window.steps);
  await context.close();
  await desk.close();
  return steps;
}

/** From a change of the bundled scene to its schedule on the page. */
async function schedules() {
  const desk = new Desk(resolve(program));
  cpSync(fileURLToPath(new URL('../../sample-photos/brewery-yard', import.meta.url)), desk.folder, { recursive: true });
  const { page, context } = await opened(browser, await desk.serve(), WINDOW);
  const frame = page.frameLocator('#schedule-frame');
  await turnTo(page, 'schedule');
  await frame.locator('h1').first().waitFor({ timeout: 120000 });
  const waited = {};
  const changed = async (what, change) => {
    const shown = page.evaluate(() => new Promise((done) => { document.addEventListener('schedule', () => requestAnimationFrame(() => done(performance.now())), { once: true }); }));
    const begun = await page.evaluate(change);
    waited[what] = Math.round(await shown - begun);
  };
  const set = (id, value) => `(() => { const e = ${id}; e.value = ${JSON.stringify(value)}; e.dispatchEvent(new Event('input', { bubbles: true })); e.dispatchEvent(new Event('change', { bubbles: true })); return performance.now(); })()`;
  await changed('a name', set('document.getElementById("name")', 'Malt floor'));
  await changed('a treatment', set('document.getElementById("treatment")', 'rock'));
  await changed('a treatment back', set('document.getElementById("treatment")', 'coat'));
  await changed('where one stands', set('[...document.querySelectorAll("#layout-said label")].find((e) => e.textContent.startsWith("seen from")).querySelector("input")', '1.4 m'));
  await context.close();
  await desk.close();
  return waited;
}

const [preview, sharp] = await firstPictures(5);
console.log(`24 MP: first picture ${preview.toFixed(0)} ms after the page is asked for (target ${TARGETS.preview}), photo read ${sharp.toFixed(0)} ms (target ${TARGETS.sharp}), median of 5; load ${loadavg()[0].toFixed(1)}`);
const steps = await rubbed();
console.log(`24 MP: a step of a rub ${percentile(steps, 0.5).toFixed(0)} ms median, ${percentile(steps, 0.95).toFixed(0)} ms at 95 % (target ${TARGETS.rub}), ${steps.length} steps; load ${loadavg()[0].toFixed(1)}`);
const waited = await schedules();
console.log(`the bundled scene: schedule on the page after ${Object.entries(waited).map(([what, ms]) => `${what} ${ms} ms`).join(', ')} (target ${TARGETS.schedule}); load ${loadavg()[0].toFixed(1)}`);
await browser.close();
