// A desk for the drawing page: a folder with photos made by code, the program serving it, and a browser.
import http from 'node:http';
import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';

export const launch = (path) => chromium.launch({
  executablePath: path,
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
    '--disable-component-update', '--disable-sync'],
});

/** A 24-bit BMP of a function of column and row that gives [r, g, b]. */
export function bitmap(width, height, colour) {
  const row = Math.ceil((width * 3) / 4) * 4;
  const bytes = Buffer.alloc(54 + row * height);
  bytes.write('BM');
  bytes.writeUInt32LE(bytes.length, 2);
  bytes.writeUInt32LE(54, 10);
  bytes.writeUInt32LE(40, 14);
  bytes.writeInt32LE(width, 18);
  bytes.writeInt32LE(height, 22);
  bytes.writeUInt16LE(1, 26);
  bytes.writeUInt16LE(24, 28);
  for (let y = 0; y < height; y += 1) {
    for (let x = 0; x < width; x += 1) {
      const [r, g, b] = colour(x, y);
      bytes.set([b, g, r], 54 + (height - 1 - y) * row + 3 * x);
    }
  }
  return bytes;
}

let state = 1;
const noise = () => {
  state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
  return (state >>> 28) - 8;
};

/** Brick on the left, grass on the right, a grey card in the middle below; a little noise. */
export const BRICK = [0x96, 0x50, 0x3c];
export const GRASS = [0x5c, 0x74, 0x3c];
export function yard(x, y) {
  const within = (l, t, r, b) => x >= l && x < r && y >= t && y < b;
  const [r, g, b] = within(360, 480, 440, 560) ? [0x78, 0x74, 0x70] : x < 400 ? BRICK : GRASS;
  const n = noise();
  return [r + n, g + n, b + n];
}

/** A hill of grass under a pale sky. */
export function hill(x, y) {
  const [r, g, b] = y < 160 + 60 * Math.sin(x / 130) ? [0xb9, 0xc4, 0xcf] : GRASS;
  const n = noise();
  return [r + n, g + n, b + n];
}

export const SCENE = `# the yard behind the brewhouse
title  = "Hop yard"     # invented
scale  = "1:87"
paints = "paints.csv"

[photos.yard]
file = "yard.bmp"       # drawn by the test

# 1. what is there already
[[surface]]
name   = "Kiln wall"    # faces south
photo  = "yard"
region = [[0.05, 0.10], [0.30, 0.10], [0.30, 0.50], [0.05, 0.50]]   # by hand
area   = "310 cm2"
`;

export const PAINTS = `name,hex,medium,opacity
titanium white,#f2f1ec,acrylic,opaque
ivory black,#262524,acrylic,opaque
brick red,#93503d,acrylic,opaque
yellow ochre,#bc9145,acrylic,semi-opaque
olive green,#5d5f3a,acrylic,opaque
`;

export const yardFiles = () => ({ 'scene.toml': SCENE, 'paints.csv': PAINTS, 'yard.bmp': bitmap(800, 600, yard) });

/** Outer corners of the chart in the yard, at patches 1, 6, 24 and 19. */
export const CHART_AT = [[0.55, 0.55], [0.85, 0.55], [0.85, 0.85], [0.55, 0.85]];

/** The yard with a chart of 24 patches in it, drawn by the colours the program holds a chart against (xyY under D50). */
export function chartFiles() {
  const source = new URL('../../src/photo/chart24.csv', import.meta.url);
  const patches = readFileSync(source, 'utf8').trim().split('\n').slice(1).map((row) => srgbOf(row.split(',').slice(-3).map(Number)));
  const [[l, t], , [r, b]] = CHART_AT;
  const withChart = (x, y) => {
    const [across, down] = [(6 * (x / 800 - l)) / (r - l), (4 * (y / 600 - t)) / (b - t)];
    if (across < 0 || across >= 6 || down < 0 || down >= 4) return yard(x, y);
    const gap = [across % 1, down % 1].some((v) => v < 0.08 || v > 0.92);
    return gap ? [24, 24, 24] : patches[6 * Math.floor(down) + Math.floor(across)];
  };
  return { ...yardFiles(), 'yard.bmp': bitmap(800, 600, withChart) };
}

/** xyY under D50 as sRGB of 8 bits. Matrix from D50 XYZ to linear sRGB: CSS Color Level 4, sample code, Bradford included. */
function srgbOf([x, y, Y]) {
  const [X, Z] = [(x / y) * Y, ((1 - x - y) / y) * Y];
  const linear = [
    3.1341359 * X - 1.6173863 * Y - 0.4906619 * Z,
    -0.9787955 * X + 1.9162544 * Y + 0.0334427 * Z,
    0.0719554 * X - 0.2289769 * Y + 1.4053860 * Z,
  ];
  return linear.map((v) => {
    const c = Math.min(1, Math.max(0, v));
    return Math.round(255 * (c <= 0.0031308 ? 12.92 * c : 1.055 * c ** (1 / 2.4) - 0.055));
  });
}

/** Two photos, with a surface on the first. */
export function twoPhotos() {
  const scene = SCENE.replace('# 1. what', '[photos.field]\nfile = "field.bmp"\n\n# 1. what');
  const field = (x, y) => yard(400 + (x % 300), y % 400);
  return { ...yardFiles(), 'scene.toml': scene, 'field.bmp': bitmap(600, 400, field) };
}

/** A hillside with two bands, the nearer one without an outline of its own. */
export function hillFiles() {
  const bands = `
[[surface.band]]
name = "near strip"     # where one stands

[[surface.band]]
name = "far slope"
region = [[0.1, 0.1], [0.4, 0.1], [0.4, 0.25], [0.1, 0.25]]
from = "2 km"   # from a map
model_depth = "1.2 m"
`;
  const scene = SCENE.replace(/region = .*\n/, 'region = [[0.05, 0.05], [0.95, 0.05], [0.95, 0.75], [0.05, 0.75]]\ntreatment = "coat"\n');
  return { ...yardFiles(), 'scene.toml': scene + bands };
}

export class Desk {
  constructor(program, files = {}) {
    this.program = program;
    this.folder = mkdtempSync(join(tmpdir(), 'mark-'));
    for (const [name, content] of Object.entries(files)) this.write(name, content);
  }

  path(name) { return join(this.folder, name); }

  write(name, content) { writeFileSync(this.path(name), content); }

  read(name) { return readFileSync(this.path(name), 'utf8'); }

  /** Starts the program and waits for its address. */
  async serve(what = 'scene.toml', ...options) {
    const child = spawn(this.program, ['open', this.path(what), '--no-browser', ...options], { stdio: ['ignore', 'pipe', 'pipe'] });
    this.child = child;
    this.asked = false;
    this.out = '';
    this.err = '';
    this.ended = new Promise((done) => { child.on('exit', (code, signal) => done(code ?? signal)); });
    return new Promise((done, fail) => {
      const look = () => {
        const found = /http:\/\/127\.0\.0\.1:\d+\/open\/[0-9a-f]{32}/.exec(this.out + this.err);
        if (found && !this.asked) {
          this.asked = true;
          exchanged(found[0]).then(done, fail);
        }
      };
      child.stdout.on('data', (data) => { this.out += data; look(); });
      child.stderr.on('data', (data) => { this.err += data; look(); });
      child.on('exit', () => fail(new Error(`it ended: ${this.err}`)));
    });
  }

  /** Waits until it has said something; gives that. */
  async heard(what) {
    for (;;) {
      const found = what.exec(this.err);
      if (found) return found[0];
      await new Promise((done) => { setTimeout(done, 20); });
    }
  }

  /** Runs a command of the program to its end. */
  run(...words) {
    const child = spawn(this.program, words, { cwd: this.folder, stdio: ['ignore', 'pipe', 'pipe'] });
    let out = '';
    child.stdout.on('data', (data) => { out += data; });
    child.stderr.on('data', (data) => { out += data; });
    return new Promise((done) => { child.on('exit', (code) => done({ code, out })); });
  }

  async close() {
    if (this.child && this.child.exitCode === null && this.child.signalCode === null) {
      this.child.kill('SIGKILL');
      await this.ended;
    }
    rmSync(this.folder, { recursive: true, force: true });
  }
}

/** The cookies that addresses were exchanged for, by host. */
export const cookies = new Map();

/** Uses an address that opens the page once, as a browser does; gives the page's own address. */
function exchanged(address) {
  return new Promise((done, fail) => {
    http.get(address, (answer) => {
      let text = '';
      answer.on('data', (data) => { text += data; });
      answer.on('end', () => {
        const url = new URL(address);
        cookies.set(url.host, answer.headers['set-cookie'][0].split(';')[0]);
        done(`${url.origin}${/url=([^"]+)"/.exec(text)[1]}`);
      });
    }).on('error', fail);
  });
}

/** Serves the page's files from a folder instead of from the program, so that a change of them needs no build. */
async function fromFolder(context, folder) {
  const kinds = { js: 'text/javascript', css: 'text/css', html: 'text/html' };
  await context.route(/127\.0\.0\.1:\d+\/[0-9a-f]{32}\/(\w+\.(js|css))?$/, async (route) => {
    const name = route.request().url().split('/').pop() || 'page.html';
    const answer = await route.fetch({ url: new URL(name === 'page.html' ? '.' : name.endsWith('.css') ? 'icon.svg' : 'main.js', route.request().url()).href });
    const headers = { ...answer.headers(), 'content-type': `${kinds[name.split('.').pop()]}; charset=utf-8` };
    delete headers['content-length'];
    await route.fulfill({ status: 200, headers, body: readFileSync(join(folder, name)) });
  });
}

/** A page that is open, with what it said and asked for. */
export async function opened(browser, address, { early = null, ...options } = {}, has_photo = true) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...options });
  if (early) await context.addInitScript(early);
  const [name, value] = (cookies.get(new URL(address).host) ?? '').split('=');
  if (value) await context.addCookies([{ name, value, url: address }]);
  if (process.env.PAGE_FROM) await fromFolder(context, process.env.PAGE_FROM);
  const page = await context.newPage();
  // Whoever has no mouse draws with a finger.
  page.byFinger = Boolean(options.hasTouch);
  const heard = { console: [], requests: [] };
  page.on('console', (message) => heard.console.push(message.text()));
  page.on('pageerror', (error) => heard.console.push(String(error)));
  page.on('request', (request) => heard.requests.push(request.url()));
  page.on('dialog', (dialog) => dialog.accept());
  await page.goto(address);
  if (has_photo) await page.waitForFunction(() => document.getElementById('view').naturalWidth > 0 && document.getElementById('loading').hidden);
  else await page.waitForFunction(() => document.getElementById('title').textContent !== 'Opening…');
  return { page, heard, context };
}

/** Where a point of the photo, as fractions, lies in the window. */
export async function placed(page, [x, y]) {
  await page.locator('#stage').scrollIntoViewIfNeeded();
  const box = await page.locator('#view').boundingBox();
  return [box.x + x * box.width, box.y + y * box.height];
}

export async function clickAt(page, at) {
  const place = await placed(page, at);
  if (page.byFinger) await page.touchscreen.tap(...place);
  else await page.mouse.click(...place);
}

/** Presses at a point, moves to others, lets go: with the mouse, or with a finger where there is no mouse. */
export async function dragThrough(page, ...points) {
  if (page.byFinger) {
    await swipeThrough(page, ...points);
    return;
  }
  const places = await Promise.all(points.map((p) => placed(page, p)));
  await page.mouse.move(...places[0]);
  await page.mouse.down();
  for (const at of places.slice(1)) await page.mouse.move(...at, { steps: 6 });
  await page.mouse.up();
}

/** A finger on the page: down at a place, on to others, and up again. */
async function finger(page, [first, ...rest], held = 0) {
  const client = await page.context().newCDPSession(page);
  const touch = (type, ...at) => client.send('Input.dispatchTouchEvent', { type, touchPoints: at.map(([x, y]) => ({ x, y, id: 0 })) });
  await touch('touchStart', first);
  for (const at of rest) await touch('touchMove', at);
  await page.waitForTimeout(held);
  await touch('touchEnd');
  await client.detach();
}

/** Puts a finger down at a point of the photo, moves it to others, lifts it. */
export async function swipeThrough(page, ...points) {
  const places = await Promise.all(points.map((p) => placed(page, p)));
  const between = places.slice(1).flatMap((to, i) => [1, 2, 3, 4, 5, 6].map((step) => to.map((v, c) => places[i][c] + ((v - places[i][c]) * step) / 6)));
  // It rests before it is lifted: what is let go in full swing would fling the page.
  await finger(page, [places[0], ...between], 120);
}

/** Presses with a finger, as long as a finger does. */
export async function press(page, target, position = null) {
  await target.scrollIntoViewIfNeeded();
  const box = await target.boundingBox();
  const { x, y } = position ?? { x: box.width / 2, y: box.height / 2 };
  await finger(page, [[box.x + x, box.y + y]], 60);
}

/** Puts fingers down at places of the window and moves each to another; `more` come down while they are on their way. */
export async function pinch(page, from, to, more = []) {
  const client = await page.context().newCDPSession(page);
  const touch = (type, places) => client.send('Input.dispatchTouchEvent', { type, touchPoints: places.map(([x, y], id) => ({ x, y, id })) });
  for (let n = 1; n <= from.length; n += 1) await touch('touchStart', from.slice(0, n));
  const steps = 8;
  for (let step = 1; step <= steps; step += 1) {
    await touch('touchMove', from.map((at, i) => at.map((v, c) => v + ((to[i][c] - v) * step) / steps)));
  }
  if (more.length) {
    await touch('touchStart', [...to, ...more]);
    await touch('touchMove', [...to, ...more.map(([x, y]) => [x + 5, y])]);
  }
  // They rest before they are lifted, as one finger does.
  await page.waitForTimeout(120);
  await touch('touchEnd', []);
  await client.detach();
}

/** Moves the crosshair to a point of the photo by arrow keys: long steps, then single ones. */
export async function steer(page, from, to) {
  const [a, b] = [await placed(page, from), await placed(page, to)];
  for (const [axis, back, on] of [[0, 'ArrowLeft', 'ArrowRight'], [1, 'ArrowUp', 'ArrowDown']]) {
    const way = Math.round(b[axis] - a[axis]);
    const key = way < 0 ? back : on;
    const [long, short] = [Math.floor(Math.abs(way) / 8), Math.abs(way) % 8];
    for (let i = 0; i < long; i += 1) await page.keyboard.press(key);
    for (let i = 0; i < short; i += 1) await page.keyboard.press(`Shift+${key}`);
  }
}

/** Turns the right page to one of its leaves. */
export const turnTo = (page, leaf) => page.locator(`#sentence [data-leaf="${leaf}"]`).click();

export const tones = (page) => page.locator('.tone b').allInnerTexts();
