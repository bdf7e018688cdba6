// The guide's pictures, made from the bundled scene: node guide.mjs PROGRAM HILLWASH.HTML CHROMIUM [write]
//
// Without "write" they are held against those in report-templates/guide: a picture that no longer shows what the program
// shows is a failure.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { launch, opened } from '../mark/desk.mjs';

const [, , given, html, chromium_path, write] = process.argv;
const program = resolve(given);
const at = new URL('../../report-templates/guide/', import.meta.url);
const folder = mkdtempSync(join(tmpdir(), 'guide-'));
const waits = { timeout: 60000 };
const browser = await launch(chromium_path);
const light = { colorScheme: 'light' };
const jpeg = { type: 'jpeg', quality: 72 };
const made = {};

{
  const { page, context } = await opened(browser, pathToFileURL(resolve(html)).href, { ...light, viewport: { width: 1180, height: 760 } }, false);
  await page.locator('#begin-example').click();
  await page.locator('.tone .mix').first().waitFor(waits);
  await page.waitForFunction(() => document.getElementById('loading').hidden && /trust the dried patch/.test(document.getElementById('tones').textContent), null, waits);
  await page.mouse.move(2, 2);
  made['desk.jpg'] = await page.screenshot(jpeg);
  await context.close();
}
{
  execFileSync(program, ['new', join(folder, 'starter'), '--quiet']);
  execFileSync(program, ['plan', join(folder, 'starter/scene.toml'), '--date', '2026-11-29', '--quiet']);
  const address = pathToFileURL(join(folder, 'starter/schedule/schedule.html')).href;
  const context = await browser.newContext({ ...light, viewport: { width: 980, height: 720 } });
  const page = await context.newPage();
  await page.goto(address);
  made['schedule.jpg'] = await page.screenshot(jpeg);
  await page.emulateMedia({ media: 'print', colorScheme: 'light' });
  await page.setViewportSize({ width: 794, height: 1123 });
  const card = page.locator('.bench-card').first();
  made['card.jpg'] = await card.screenshot(jpeg);
  await context.close();
}

/** Mean difference of two pictures, 0 to 255; by the browser's own decoder. */
async function differ(one, other) {
  const page = await (await browser.newContext()).newPage();
  const text = (b) => b.toString('base64');
  return page.evaluate(async ([a, b]) => {
    const read = async (t) => {
      const picture = await createImageBitmap(new Blob([Uint8Array.from(atob(t), (c) => c.charCodeAt(0))], { type: 'image/jpeg' }));
      const canvas = new OffscreenCanvas(picture.width, picture.height);
      const pen = canvas.getContext('2d');
      pen.drawImage(picture, 0, 0);
      return pen.getImageData(0, 0, picture.width, picture.height);
    };
    const [x, y] = [await read(a), await read(b)];
    if (x.width !== y.width || Math.abs(x.height - y.height) > 0.05 * x.height) return 255;
    let sum = 0;
    const n = Math.min(x.data.length, y.data.length);
    for (let i = 0; i < n; i += 1) sum += Math.abs(x.data[i] - y.data[i]);
    return sum / n;
  }, [text(one), text(other)]);
}

/** Fonts differ from machine to machine; a leaf, a surface or a photo more or less is far above. */
const MOST = 12;
for (const [name, bytes] of Object.entries(made)) {
  const file = new URL(name, at);
  if (write) {
    writeFileSync(file, bytes);
    console.log(`wrote ${name}, ${bytes.length} bytes`);
  } else {
    const off = await differ(bytes, readFileSync(file));
    assert.ok(off < MOST, `${name} no longer shows what the program shows (differs by ${off.toFixed(1)}): node tests/web/guide.mjs PROGRAM HILLWASH.HTML CHROMIUM write, then build again`);
    console.log(`ok   ${name} shows what the program shows (${off.toFixed(1)})`);
  }
}
await browser.close();
rmSync(folder, { recursive: true, force: true });
