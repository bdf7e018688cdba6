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

  for (const [look, options] of [['light', { colorScheme: 'light' }], ['dark', { colorScheme: 'dark' }], ['forced colours', { forcedColors: 'active' }]]) {
    await check(`${name}: axe-core finds no violation, ${look}, folded and unfolded, daylight and lamps`, async () => {
      const { page, context } = await opened({ bypassCSP: true, ...options }, file);
      await page.addScriptTag({ content: axe_source });
      for (const lamps of [false, true]) {
        if (lamps) {
          if (await page.locator('.lamp-switch').count() === 0) continue;
          await page.locator('.lamp-switch input[value=lamps]').check();
        }
        await page.evaluate((open) => { for (const part of document.querySelectorAll('details')) part.open = open; }, lamps);
        // Level AAA is asked of contrast alone.
        const result = await page.evaluate(() => window.axe.run(document, { rules: { 'color-contrast-enhanced': { enabled: true } } }));
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
  const heads = await page.locator('section.sheet .sheet-head h2').allTextContents();
  assert.deepEqual(heads.map((h) => h.trim()), HOSTILE.map((name) => name.trim()));
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
  const summary = page.locator('.why summary').first();
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
      .filter((e) => e.getClientRects().length > 0 && e.clientWidth > 1 && e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== 'inline')
      .map((e) => e.textContent.trim().slice(0, 60)));
    assert.deepEqual(cut, []);
    await page.screenshot({ path: join(pictures, `${name}-${width}.png`), fullPage: true });
    await context.close();
  });
}

await check('the same words stand there with scripting off', async () => {
  const on = await opened();
  const off = await opened({ javaScriptEnabled: false });
  await off.page.screenshot({ path: join(pictures, 'demo-script-off.png') });
  assert.equal(await off.page.locator('.lamp-switch').isVisible(), false, 'no switch that does nothing');
  assert.equal(await off.page.locator('.done').isVisible(), false, 'no button that does nothing');
  // Ticks are kept by script alone: the line that counts them is left aside.
  const words = async ({ page }) => (await page.locator('main > section:not(.next)').allInnerTexts()).join(' ');
  const told = await words(on);
  assert.ok(told.length > 1000);
  assert.equal(await words(off), told);
  await on.context.close();
  await off.context.close();
});

// The bench's questions, each answered without scrolling.
for (const [name, viewport] of [['a desk', { width: 1280, height: 800 }], ['a phone', { width: 390, height: 844 }]]) {
  await check(`on ${name} the first screen says what comes next, with which pot, how much and where`, async () => {
    const { page, context } = await opened({ viewport });
    const seen = async (selector) => {
      const box = await page.locator(selector).first().boundingBox();
      return box !== null && box.y >= 0 && box.y + box.height <= viewport.height && box.width > 0;
    };
    // From the first step that takes a pot, as at the bench after priming.
    const pots = await page.evaluate(() => {
      const steps = [...document.querySelectorAll('.step')];
      const at = steps.findIndex((step) => /^Pot \d/.test(step.querySelector('b').textContent));
      for (const step of steps.slice(0, at)) step.querySelector('input').click();
      return steps[at].querySelector('b').textContent;
    });
    await page.evaluate(() => scrollTo(0, 0));
    for (const part of ['h1', '.evening a.now', '.next-what', '.next-swatch svg', '.next-where a', '.done']) {
      assert.ok(await seen(part), `${part} is not on the first screen`);
    }
    const next = await page.locator('.next-what').innerText();
    assert.ok(next.startsWith(pots) && / \+ /.test(next) && /ml|drop/.test(next), next);
    if (viewport.width > 1000) assert.ok(await seen('.where-photo .place.shown svg'), 'its place on the photo');
    await page.screenshot({ path: join(pictures, `first-${viewport.width}.png`) });
    await context.close();
  });
}

await check('ticks are kept, what comes next follows them and stays in view', async () => {
  const { page, context } = await opened();
  const what = () => page.locator('.next-what').innerText();
  const first = await what();
  await page.locator('.done').click();
  const second = await what();
  assert.notEqual(second, first);
  assert.equal(await page.locator('.count').innerText(), `1 of ${await page.locator('.step').count()} done`);
  await page.reload();
  assert.equal(await what(), second, 'a tick outlives the page');
  assert.equal(await page.locator('#tick-1').isChecked(), true);
  await page.evaluate(() => scrollTo(0, document.documentElement.scrollHeight / 2));
  const box = await page.locator('.next').boundingBox();
  assert.ok(box.y >= 0 && box.y < 20, `the next step left the view: ${box.y}`);
  await page.locator('#tick-1').uncheck();
  assert.equal(await what(), first);
  await page.evaluate(() => { for (const box of document.querySelectorAll('.step input')) if (!box.checked) box.click(); });
  assert.match(await what(), /All done/);
  await context.close();
});

await check('ticks stay with their steps when amounts change and a step comes before them', async () => {
  const { page, context } = await opened();
  const third = page.locator('.step').nth(2);
  await third.locator('input').check();
  const words = (await third.locator('.step-words').textContent()).replace(/[\d.,]+/g, '');
  // The same schedule for another area, without its first step.
  const changed = join(pictures, 'changed.html');
  writeFileSync(changed, readFileSync(demo, 'utf8').replace(/\d+(\.\d+)? ml/g, '99 ml').replace(/id="step-1"/, 'id="gone"').replace(/class="step( [^"]*)?"([^>]*) id="gone"|id="gone"([^>]*) class="step( [^"]*)?"/, 'class="gone" id="gone"'));
  await page.goto(pathToFileURL(changed).href);
  const ticked = await page.locator('.step:has(input:checked)').evaluateAll((all) => all.map((step) => step.querySelector('.step-words').textContent.replace(/[\d.,]+/g, '')));
  assert.deepEqual(ticked, [words]);
  await context.close();
});

await check('the demo is short: 12 screens at 1440 pixels and 3,000 words, reasons folded', async () => {
  const viewport = { width: 1440, height: 900 };
  const { page, context } = await opened({ viewport });
  const height = await page.evaluate(() => document.documentElement.scrollHeight);
  const words = (await page.locator('body').innerText()).split(/\s+/).length;
  console.log(`     ${(height / viewport.height).toFixed(1)} screens, ${words} words`);
  assert.ok(height <= 12 * viewport.height, `${height} px`);
  assert.ok(words <= 3000, `${words} words`);
  await context.close();
});

await check('a surface is one screen: photo and map are as large, their numbers in the same places', async () => {
  const { page, context } = await opened({ viewport: { width: 1440, height: 900 } });
  const sheets = await page.evaluate(() => [...document.querySelectorAll('.sheet')].map((sheet) => ({
    name: sheet.querySelector('h2').textContent, height: sheet.getBoundingClientRect().height,
    pictures: [...sheet.querySelectorAll('.pictures svg.photo')].map((svg) => [svg.getBoundingClientRect().width, svg.getBoundingClientRect().height]),
    numbers: [...sheet.querySelectorAll('.pictures svg.photo')].map((svg) => [...svg.querySelectorAll('.number circle')].map((c) => [c.getAttribute('cx'), c.getAttribute('cy')])),
  })));
  for (const sheet of sheets) {
    assert.ok(sheet.height <= 900, `${sheet.name}: ${sheet.height} px`);
    if (sheet.pictures.length === 2) {
      assert.deepEqual(sheet.pictures[0].map(Math.round), sheet.pictures[1].map(Math.round), sheet.name);
      assert.deepEqual(sheet.numbers[0], sheet.numbers[1], sheet.name);
    }
  }
  await page.locator('.chip').first().scrollIntoViewIfNeeded();
  const chip = page.locator('.sheet:has(.number) .chip').first();
  await chip.hover();
  assert.equal(await page.locator('.number.lit').count(), 2, 'pointing at a tone lights it in photo and map');
  await context.close();
});

await check('every swatch keeps an edge that no grey hides', async () => {
  const { page, context } = await opened();
  const bare = await page.evaluate(() => [...document.querySelectorAll('svg.swatches, svg.tone-figure')]
    .filter((svg) => !(svg.querySelector('.key-dark') && svg.querySelector('.key-light'))).length);
  assert.equal(bare, 0);
  // Contrast as WCAG 2 has it: of each grey, one of the two lines stands out from it and from the surround by 3 at least.
  const light = (v) => { const c = v / 255; return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; };
  const contrast = (a, b) => (Math.max(light(a), light(b)) + 0.05) / (Math.min(light(a), light(b)) + 0.05);
  for (let grey = 0; grey < 256; grey += 1) {
    const best = Math.max(...[0, 255].map((line) => Math.min(contrast(line, grey), contrast(line, 0x77))));
    assert.ok(best >= 3, `grey ${grey}: ${best}`);
  }
  await context.close();
});

await check('every swatch and photo has a text alternative, and headings come in order', async () => {
  const { page, context } = await opened();
  const bare = await page.evaluate(() => [...document.querySelectorAll('svg:not([aria-hidden])')].filter((svg) => svg.parentElement.closest('svg') === null)
    .filter((svg) => !(svg.getAttribute('role') === 'img' && (svg.getAttribute('aria-label') ?? svg.querySelector(':scope > title')?.textContent ?? '').length > 8)).length);
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
    await check(`${name}: ${format} has one card a page, the evening, labels and craft notes, nothing cut, no page with one row`, async () => {
      const { page, context } = await opened({ javaScriptEnabled: false }, file);
      await page.emulateMedia({ media: 'print' });
      const cards = await page.locator('.bench-card').allInnerTexts();
      const steps = await page.locator('.evening-page .ticks li').allInnerTexts();
      const surfaces = await page.locator('section.sheet').count();
      assert.equal(cards.length, surfaces);
      const path = join(pictures, `${name}-${format}.pdf`);
      await page.pdf({ path, format, preferCSSPageSize: false });
      const text = execFileSync('pdftotext', ['-layout', path, '-'], { encoding: 'utf8', maxBuffer: 1 << 26 });
      const sheets = text.split('\f').slice(0, -1);
      console.log(`     ${sheets.length} pages`);
      const begins = sheets.map((t) => t.split('Painted by').length - 1);
      const ends = sheets.map((t) => t.split('Planned on the left').length - 1);
      assert.ok(begins.every((n) => n <= 1) && ends.every((n) => n <= 1), 'two cards on one page');
      assert.equal(begins.reduce((a, b) => a + b), cards.length);
      assert.equal(ends.reduce((a, b) => a + b), cards.length);
      // Names of 300 characters may take more pages; they must not be lost.
      if (name !== 'hostile') {
        assert.deepEqual(begins, ends, 'a card runs over its page');
        assert.ok(sheets.length <= surfaces + 4, `${sheets.length} pages for ${surfaces} surfaces`);
        for (const [i, sheet] of sheets.entries()) assert.ok(sheet.split('\n').filter((l) => l.trim()).length > 6, `page ${i + 1} is all but empty`);
        const plain = (t) => t.normalize('NFKC').replace(/[^\p{L}\p{N}]/gu, '');
        const printed = plain(text);
        for (const step of steps) for (const word of step.split(/\s+/).map(plain).filter((w) => w.length > 3)) {
          assert.ok(printed.includes(word), `cut: ${word} of ${step}`);
        }
      }
      await context.close();
    });
  }
}

await check('planned and dab share an edge, each at least 30 by 20 mm, in one grey field', async () => {
  const { page, context } = await opened();
  await page.emulateMedia({ media: 'print' });
  const mm = 96 / 25.4;
  const fields = await page.evaluate(() => [...document.querySelectorAll('.dab-field')].map((field) => {
    const box = (selector) => { const { left, right, width, height } = field.querySelector(selector).getBoundingClientRect(); return { left, right, width, height }; };
    return { planned: box('.dab-planned'), dab: box('.dab'), ground: getComputedStyle(field).backgroundColor };
  }));
  assert.ok(fields.length > 10);
  for (const { planned, dab, ground } of fields) {
    assert.ok(Math.abs(planned.right - dab.left) < 1, 'they touch');
    for (const box of [planned, dab]) assert.ok(box.width >= 30 * mm && box.height >= 20 * mm, JSON.stringify(box));
    assert.equal(ground, 'rgb(119, 119, 119)');
  }
  await context.close();
});

await check('the whole record is printed when it is asked for, folded parts too', async () => {
  const { page, context } = await opened();
  await page.locator('#print-whole').check();
  const path = join(pictures, 'demo-whole.pdf');
  await page.pdf({ path, format: 'A4' });
  const text = execFileSync('pdftotext', ['-layout', path, '-'], { encoding: 'utf8', maxBuffer: 1 << 26 });
  const plain = (t) => t.normalize('NFKC').replace(/[^\p{L}\p{N}]/gu, '');
  assert.ok(plain(text).includes(plain('fully adapted to the lamps')));
  await context.close();
});

await check('a card shows what is brushed: no mix stands on it that no step uses', async () => {
  const { page, context } = await opened();
  const plan = JSON.parse(await page.locator('#plan').textContent());
  const used = plan.pots.map((pot) => pot.paints.map((paint) => `${paint.parts} ${paint.name}`).sort().join(' + '));
  const told = await page.locator('.card-mix').allTextContents();
  assert.ok(told.length > 3);
  for (const mix of told) assert.ok(used.includes(mix.split(' + ').sort().join(' + ')), mix);
  const washed = plan.surfaces.findIndex((surface) => surface.wash?.base?.from === 'colour');
  const base = plan.surfaces[washed].wash.base.pot;
  const card = await page.locator('.bench-card').nth(washed).textContent();
  const pot = plan.pots.find((p) => p.number === base);
  for (const paint of pot.paints) assert.ok(card.toLowerCase().includes(paint.name), `${paint.name} is brushed on it`);
  await context.close();
});

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

await check('the file is under 1.3 MB', async () => {
  assert.ok(statSync(demo).size <= 1_300_000, `${statSync(demo).size} bytes`);
});

await browser.close();
rmSync(bench, { recursive: true, force: true });
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed === 0 && passed > 0 ? 0 : 1);
