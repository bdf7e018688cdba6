// Checks of a schedule in headless Chromium: node browser.mjs PAGE CHROMIUM PICTURES
//
// Content is asserted, not pixels; pictures are written for people to look at.
// Accessibility rules: axe-core, tags wcag2a to wcag22aa (W3C, Web Content Accessibility Guidelines 2.2).
import assert from 'node:assert/strict';
import { mkdirSync, readFileSync, statSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';

const [, , page_file, chromium_path, pictures] = process.argv;
const require = createRequire(import.meta.url);
const axe_source = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const address = pathToFileURL(page_file).href;
mkdirSync(pictures, { recursive: true });

let passed = 0;
let failed = 0;
async function check(name, work) {
  try {
    await work();
    passed += 1;
    console.log(`ok   ${name}`);
  } catch (error) {
    failed += 1;
    console.log(`FAIL ${name}\n     ${String(error.message).split('\n').join('\n     ')}`);
  }
}

const browser = await chromium.launch({
  executablePath: chromium_path,
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
    '--disable-component-update', '--disable-sync'],
});

async function opened(options = {}) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...options });
  const page = await context.newPage();
  const heard = { console: [], requests: [] };
  page.on('console', (message) => heard.console.push(message.text()));
  page.on('pageerror', (error) => heard.console.push(String(error)));
  page.on('request', (request) => heard.requests.push(request.url()));
  await page.goto(address);
  return { page, heard, context };
}

await check('nothing is said on the console and no request leaves the page', async () => {
  const { page, heard, context } = await opened();
  await page.waitForTimeout(200);
  assert.deepEqual(heard.console, []);
  assert.deepEqual(heard.requests.filter((url) => !url.startsWith('data:') && url !== address), []);
  await context.close();
});

await check('the content security policy is in force: an injected script does not run', async () => {
  const { page, context } = await opened();
  const ran = await page.evaluate(() => {
    const script = document.createElement('script');
    script.textContent = 'window.ran = true';
    document.body.append(script);
    return window.ran === true;
  });
  assert.equal(ran, false);
  await context.close();
});

await check('axe-core finds no violation, light and dark', async () => {
  for (const colorScheme of ['light', 'dark']) {
    const { page, context } = await opened({ bypassCSP: true, colorScheme });
    await page.addScriptTag({ content: axe_source });
    const result = await page.evaluate(() => window.axe.run(document));
    const told = result.violations.map((v) => `${v.id}: ${v.help} (${v.nodes.length}) ${v.nodes[0].html.slice(0, 160)}`);
    assert.deepEqual(told, [], colorScheme);
    assert.ok(result.passes.length > 10, 'the rules ran');
    await context.close();
  }
});

for (const width of [360, 390, 768, 1280]) {
  await check(`no sideways scrolling and no text cut off at ${width} px`, async () => {
    const { page, context } = await opened({ viewport: { width, height: 800 } });
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.ok(wide <= 0, `the page is ${wide} px too wide`);
    const cut = await page.evaluate(() => [...document.querySelectorAll('p, h1, h2, h3, h4, li, dd, figcaption')]
      .filter((e) => e.getClientRects().length > 0 && e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== 'inline')
      .map((e) => e.textContent.trim().slice(0, 60)));
    assert.deepEqual(cut, []);
    await page.screenshot({ path: join(pictures, `page-${width}.png`), fullPage: true });
    await context.close();
  });
}

await check('the same words stand there with scripting off', async () => {
  const on = await opened();
  const off = await opened({ javaScriptEnabled: false });
  const words = await on.page.locator('main').innerText();
  assert.ok(words.length > 1000);
  assert.equal(await off.page.locator('main').innerText(), words);
  await on.context.close();
  await off.context.close();
});

await check('every swatch and photo has a text alternative, and headings come in order', async () => {
  const { page, context } = await opened();
  const bare = await page.evaluate(() => [...document.querySelectorAll('svg')]
    .filter((svg) => !(svg.getAttribute('role') === 'img' && (svg.getAttribute('aria-label') ?? '').length > 8)).length);
  assert.equal(bare, 0);
  const levels = await page.evaluate(() => [...document.querySelectorAll('h1,h2,h3,h4')].map((h) => Number(h.tagName[1])));
  assert.equal(levels.filter((l) => l === 1).length, 1);
  levels.reduce((above, level) => {
    assert.ok(level <= above + 1, `h${above} is followed by h${level}`);
    return level;
  }, 0);
  await context.close();
});

await check('the plan is in the page and is the plan', async () => {
  const { page, context } = await opened();
  const text = await page.locator('#plan').textContent();
  const plan = JSON.parse(text);
  assert.equal(plan.format, 'hillwash.plan/1');
  assert.equal(plan.surfaces.length, await page.locator('section.sheet').count());
  assert.ok(!/[<>&\u2028\u2029]/.test(text));
  await context.close();
});

await check('it prints: every surface begins a page, and the paper shows every step', async () => {
  const { page, context } = await opened();
  await page.emulateMedia({ media: 'print' });
  const breaks = await page.evaluate(() => [...document.querySelectorAll('section.sheet')].map((s) => getComputedStyle(s).breakBefore));
  assert.ok(breaks.length > 0 && breaks.every((b) => b === 'page'));
  const hidden = await page.evaluate(() => [...document.querySelectorAll('.steps li')].filter((li) => li.getClientRects().length === 0).length);
  assert.equal(hidden, 0);
  for (const format of ['A4', 'Letter']) {
    const pdf = await page.pdf({ path: join(pictures, `schedule-${format}.pdf`), format, preferCSSPageSize: false });
    assert.ok(pdf.length > 10_000);
  }
  await context.close();
});

await check('the file is under 1.5 MB', async () => {
  assert.ok(statSync(page_file).size < 1_500_000);
});

await browser.close();
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed === 0 && passed > 0 ? 0 : 1);
