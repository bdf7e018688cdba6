// Checks of schedules in headless Chromium: node browser.mjs PROGRAM CHROMIUM PICTURES
//
// The program makes them here: the demo scene, the same solved again for other paints, and a scene with hostile names.
//
// Content is asserted, not pixels; pictures are written for people to look at.
// Accessibility rules: axe-core, tags wcag2a to wcag22aa (W3C, Web Content Accessibility Guidelines 2.2).
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';

const [, , program, chromium_path, pictures] = process.argv;
const require = createRequire(import.meta.url);
const axe_source = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
mkdirSync(pictures, { recursive: true });

// Every name a user may write, as a page must not take it.
const HOSTILE = ['</script><img src=x onerror="window.ran=1">', '<script>window.ran=1</script>', 'javascript:window.ran=1',
  '"><svg onload=window.ran=1>', 'llaw nlik\u200f', 'x'.repeat(300), 'wall '.repeat(60).trim(), '🧱🧱🏽‍♂️ e\u0301'];
const samples = resolve('sample-photos/brewery-yard');
const bench = mkdtempSync(join(tmpdir(), 'schedules-'));
const made = (name, words) => {
  execFileSync(resolve(program), ['plan', ...words, '--out', join(bench, name), '--date', '2026-11-25', '--quiet', '--color', 'never']);
  return join(bench, name, 'schedule.html');
};
const demo = made('demo', [join(samples, 'scene.toml')]);
const again = (() => {
  // Twelve invented paints of another builder.
  writeFileSync(join(bench, 'twelve.csv'), `name,hex,medium,opacity
chalk,#f3f2ee,acrylic,opaque\nsoot,#252428,acrylic,opaque\nrust,#8c4a38,acrylic,opaque\nstraw,#c09a4c,acrylic,semi-opaque
sand,#cdbb93,acrylic,opaque\nleaf,#4f6b35,acrylic,opaque\nbottle,#2c4236,acrylic,semi-transparent\nstone,#9a9788,acrylic,opaque
gunmetal,#4a4f55,acrylic,opaque\nchestnut,#5a3626,acrylic,opaque\nharbour,#3d5f86,acrylic,semi-opaque\nlemon,#d9cf55,acrylic,semi-transparent\n`);
  return made('again', [demo, '--paints', join(bench, 'twelve.csv')]);
})();
const hostile = (() => {
  copyFileSync(join(samples, 'rubble-stone-wall.jpg'), join(bench, 'wall.jpg'));
  const all = JSON.stringify(HOSTILE.join(' '));
  const surfaces = HOSTILE.map((name) => `[[surface]]\nname = ${JSON.stringify(name)}\nphoto = ${all}\narea = "90 cm2"\n`
    + `region = [[0.1, 0.1], [0.6, 0.1], [0.6, 0.6]]\n[surface.wash]\n[[surface.place]]\nname = ${all}\ncolour = "#554433"\nshare = 0.1\n`);
  writeFileSync(join(bench, 'scene.toml'), `title = ${all}\nscale = "1:87"\nlamps = "LED-B3"\npaints = "paints.csv"\n`
    + `[photos.${all}]\nfile = "wall.jpg"\ncredit = ${all}\n${surfaces.join('')}`);
  const cell = (text) => `"${text.replaceAll('"', '""')}"`;
  const hexes = ['#f2f1ec', '#262524', '#93503d', '#bc9145', '#565b60', '#5d5f3a', '#8a5a3c', '#d9cf55'];
  writeFileSync(join(bench, 'paints.csv'), `name,hex,opacity\n${HOSTILE.map((name, i) => `${cell(name)},${hexes[i]},opaque`).join('\n')}\n`);
  return made('hostile', [join(bench, 'scene.toml')]);
})();
const PAGES = { demo, again, hostile };

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

async function opened(options = {}, file = demo) {
  const address = pathToFileURL(file).href;
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...options });
  const page = await context.newPage();
  const heard = { console: [], requests: [] };
  page.on('console', (message) => heard.console.push(message.text()));
  page.on('pageerror', (error) => heard.console.push(String(error)));
  page.on('request', (request) => heard.requests.push(request.url()));
  await page.goto(address);
  return { page, heard, context, address };
}

for (const [name, file] of Object.entries(PAGES)) {
  await check(`${name}: nothing is said on the console and no request leaves the page`, async () => {
    const { page, heard, context, address } = await opened({}, file);
    await page.waitForTimeout(200);
    assert.deepEqual(heard.console, []);
    assert.deepEqual(heard.requests.filter((url) => !url.startsWith('data:') && url !== address), []);
    assert.equal(await page.evaluate(() => window.ran), undefined);
    await context.close();
  });

  await check(`${name}: the content security policy is in force: scripts, handlers and javascript: addresses are inert`, async () => {
    const { page, context } = await opened({}, file);
    await page.evaluate(() => {
      const script = document.createElement('script');
      script.textContent = 'window.ran = 1';
      document.body.append(script);
      const hung = document.createElement('div');
      hung.innerHTML = '<img src="x" onerror="window.ran = 2"><a id="bad" href="javascript:window.ran = 3">x</a>';
      document.body.append(hung);
    });
    await page.evaluate(() => document.getElementById('bad').click());
    await page.waitForTimeout(200);
    assert.equal(await page.evaluate(() => window.ran), undefined);
    await context.close();
  });

  for (const colorScheme of ['light', 'dark']) {
    await check(`${name}: axe-core finds no violation, ${colorScheme}, daylight and lamps`, async () => {
      const { page, context } = await opened({ bypassCSP: true, colorScheme }, file);
      await page.addScriptTag({ content: axe_source });
      for (const lamps of [false, true]) {
        if (lamps) {
          if (await page.locator('.lamp-switch').count() === 0) continue;
          await page.locator('.lamp-switch input[value=lamps]').check();
        }
        const result = await page.evaluate(() => window.axe.run(document));
        const told = result.violations.map((v) => `${v.id}: ${v.help} (${v.nodes.length}) ${v.nodes[0].html.slice(0, 160)}`);
        assert.deepEqual(told, []);
        assert.ok(result.passes.length > 10, 'the rules ran');
      }
      await context.close();
    });
  }
}

await check('hostile names stand there as text, every one', async () => {
  const { page, context } = await opened({}, hostile);
  const heads = await page.locator('section.sheet > h2').allTextContents();
  assert.deepEqual(heads.map((h) => h.replace(/^\s*\d+\s*/, '').trim()), HOSTILE.map((name) => name.trim()));
  assert.equal(await page.locator('img[src="x"], svg[onload]').count(), 0);
  await context.close();
});

await check('lamps are switched by keyboard: swatches change and change back', async () => {
  const { page, context } = await opened();
  const fills = () => page.evaluate(() => [...document.querySelectorAll('[data-lamps]')].map((e) => e.getAttribute('fill')));
  const day = await fills();
  assert.ok(day.length > 10);
  await page.locator('.lamp-switch input[value=daylight]').focus();
  await page.keyboard.press('ArrowRight');
  assert.equal(await page.evaluate(() => document.activeElement.value), 'lamps');
  const lamps = await fills();
  assert.notDeepEqual(lamps, day);
  assert.deepEqual(lamps, await page.evaluate(() => [...document.querySelectorAll('[data-lamps]')].map((e) => e.getAttribute('data-lamps'))));
  await page.keyboard.press('ArrowLeft');
  assert.deepEqual(await fills(), day);
  await context.close();
});

const cut = (page) => page.evaluate(() => getComputedStyle(document.querySelector('.before-after .before')).clipPath);

await check('before and after slides by keyboard and by pointer, and what is folded unfolds', async () => {
  const { page, context } = await opened();
  const slider = page.getByRole('slider').first();
  assert.match(await cut(page), /^inset\(0px calc\(50%\) 0px 0px\)$|^inset\(0px 50% 0px 0px\)$/);
  await slider.focus();
  assert.notEqual(await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle), 'none', 'the focus is seen');
  await page.keyboard.press('ArrowRight');
  assert.equal(await slider.getAttribute('aria-valuetext'), '51 per cent clean');
  assert.match(await cut(page), /49%/);
  await page.keyboard.press('End');
  assert.match(await cut(page), /inset\(0px\)|inset\(0px (calc\()?0%/);
  assert.equal(await page.locator('.stop').first().isVisible(), false, 'one slider, not two');
  const box = await page.locator('.before-after .before').first().boundingBox();
  await page.mouse.move(box.x + 0.25 * box.width, box.y + 0.5 * box.height);
  await page.mouse.down();
  assert.equal(await slider.inputValue(), '25');
  await page.mouse.move(box.x + 0.75 * box.width, box.y + 0.5 * box.height);
  assert.equal(await slider.inputValue(), '75');
  await page.mouse.up();
  await page.mouse.move(box.x + 0.1 * box.width, box.y + 0.5 * box.height);
  assert.equal(await slider.inputValue(), '75', 'let go is let go');
  const summary = page.locator('summary').first();
  await summary.focus();
  await page.keyboard.press('Enter');
  assert.equal(await page.evaluate(() => document.activeElement.parentElement.open), true);
  await context.close();
});

await check('with scripting off before and after has fixed stops', async () => {
  const { page, context } = await opened({ javaScriptEnabled: false });
  assert.equal(await page.locator('.cut').first().isVisible(), false, 'no slider that does nothing');
  const half = await cut(page);
  await page.locator('.before-after .stop:checked').first().focus();
  await page.keyboard.press('ArrowRight');
  assert.notEqual(await cut(page), half);
  await context.close();
});

await check('the grime dial shows its steps from the clean base to beyond the photo, the planned one marked', async () => {
  const { page, context } = await opened();
  const plan = JSON.parse(await page.locator('#plan').textContent());
  const wash = plan.surfaces.map((surface) => surface.wash).find((wash) => wash?.grime_steps?.length > 0);
  const dial = page.locator('table.dial').first();
  const labels = await dial.locator('thead th').allTextContents();
  assert.equal(labels.filter((label) => label.endsWith('planned')).length, 1);
  const told = await dial.locator('tbody tr').first().locator('td .small').allTextContents();
  for (const step of wash.grime_steps) assert.ok(told.map((t) => t.trim()).includes(step.flat_wanted.hex), step.flat_wanted.hex);
  await context.close();
});

for (const width of [360, 390, 768, 1280]) {
  for (const [name, file] of Object.entries(PAGES)) await check(`${name}: no sideways scrolling and no text cut off at ${width} px`, async () => {
    const { page, context } = await opened({ viewport: { width, height: 800 } }, file);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.ok(wide <= 0, `the page is ${wide} px too wide`);
    const cut = await page.evaluate(() => [...document.querySelectorAll('p, h1, h2, h3, h4, li, dd, figcaption')]
      .filter((e) => e.getClientRects().length > 0 && e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== 'inline')
      .map((e) => e.textContent.trim().slice(0, 60)));
    assert.deepEqual(cut, []);
    await page.screenshot({ path: join(pictures, `${name}-${width}.png`), fullPage: true });
    await context.close();
  });
}

await check('the same words stand there with scripting off', async () => {
  const on = await opened();
  const off = await opened({ javaScriptEnabled: false });
  await off.page.screenshot({ path: join(pictures, 'demo-script-off.png'), fullPage: true });
  assert.equal(await off.page.locator('.lamp-switch').isVisible(), false, 'no switch that does nothing');
  const words = await on.page.locator('main').innerText();
  assert.ok(words.length > 1000);
  assert.equal(await off.page.locator('main').innerText(), words);
  await on.context.close();
  await off.context.close();
});

await check('every swatch and photo has a text alternative, and headings come in order', async () => {
  const { page, context } = await opened();
  const bare = await page.evaluate(() => [...document.querySelectorAll('svg')].filter((svg) => svg.parentElement.closest('svg') === null)
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

for (const [name, file] of Object.entries(PAGES)) {
  for (const format of ['A4', 'Letter']) {
    await check(`${name}: ${format} has one bench card a page, nothing cut`, async () => {
      const { page, context } = await opened({ javaScriptEnabled: false }, file);
      const cards = await page.evaluate(() => [...document.querySelectorAll('.bench-card')].map((card) => ({
        steps: [...card.querySelectorAll('.ticks li')].map((li) => li.textContent),
        tones: card.querySelectorAll('.dab').length,
      })));
      assert.equal(cards.length, await page.locator('section.sheet').count());
      const path = join(pictures, `${name}-${format}.pdf`);
      await page.pdf({ path, format, preferCSSPageSize: false });
      const text = execFileSync('pdftotext', ['-layout', path, '-'], { encoding: 'utf8', maxBuffer: 1 << 26 });
      const sheets = text.split('\f');
      // A card begins with its date line and ends with its foot: both stand on one page, and no page has two.
      const begins = sheets.map((t) => t.split('Painted by').length - 1);
      const ends = sheets.map((t) => t.split('Printers shift colour').length - 1);
      // Names of 300 characters may take a second page; they must not be lost.
      if (name !== 'hostile') assert.deepEqual(begins, ends, 'a card runs over its page');
      assert.ok(begins.every((n) => n <= 1) && ends.every((n) => n <= 1), 'two cards on one page');
      assert.equal(ends.reduce((a, b) => a + b), cards.length);
      assert.equal(begins.reduce((a, b) => a + b), cards.length);
      const plain = (t) => t.normalize('NFKC').replace(/[^\p{L}\p{N}]/gu, '');
      const printed = sheets.filter((_, i) => begins[i] === 1).map(plain);
      cards.forEach((card, i) => {
        assert.ok(card.steps.length > 0 && card.tones > 0);
        if (name !== 'hostile') for (const step of card.steps) {
          const words = step.split(/\s+/).map(plain).filter((w) => w.length > 3);
          assert.ok(words.every((word) => printed[i].includes(word)), `step cut: ${step}`);
        }
      });
      // What is folded on the screen is printed.
      if (name === 'demo') assert.ok(plain(text).includes(plain('fully adapted to the lamps')));
      await context.close();
    });
  }
}

for (const [name, options] of [['phone', { viewport: { width: 390, height: 844 } }], ['dark', { viewport: { width: 1440, height: 1000 }, colorScheme: 'dark' }],
  ['desktop', { viewport: { width: 1440, height: 1000 } }]]) {
  await check(`a picture to look at: ${name}`, async () => {
    const { page, context } = await opened(options);
    // The whole of a wide page is too large a picture for a small machine: its first sheets will do.
    const clip = { x: 0, y: 0, width: options.viewport.width, height: 9000 };
    await page.screenshot({ path: join(pictures, `demo-${name}.png`), fullPage: true, clip });
    await context.close();
  });
}

await check('the file is under 1.5 MB', async () => {
  assert.ok(statSync(demo).size < 1_500_000, `${statSync(demo).size} bytes`);
});

await browser.close();
rmSync(bench, { recursive: true, force: true });
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed === 0 && passed > 0 ? 0 : 1);
