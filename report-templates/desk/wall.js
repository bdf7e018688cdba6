// A wall before and after its wash, beside the dial of its grime: in the colours that the plan gives.
import { Newest } from './ask.js';
import { make, sentence } from './make.js';
import * as doc from './work.js';

const SVG = 'http://www.w3.org/2000/svg';
const washed = new Newest('washed');
/** So long must the dial rest (ms) before it is asked for: half a turn of it is not worth a wash. */
const SOON = 60;
let waiting = 0;
/** What was told last of a surface, by its number. */
const told = new Map();
/** The dial while it is being turned. */
let turned = null;

/** A wall of bricks, or of stones where an edge is drawn lighter: courses, each a half brick on. */
const [WIDE, HIGH, GAP, COURSE] = [46, 17, 4, 21];
const [ACROSS, DOWN] = [148, 5 * COURSE + GAP];

function svg(name, properties, ...inside) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(properties)) element.setAttribute(key, value);
  element.append(...inside);
  return element;
}

/** One half of the picture. `films` run from flats to the deepest recess. */
function wall(left, { films, edges }) {
  const clip = `wall-${left}`;
  const at = (part) => films[Math.round(part * (films.length - 1))];
  const bricks = [];
  for (let row = 0; row < 6; row += 1) {
    for (let x = row % 2 ? -WIDE / 2 : GAP / 2; x < ACROSS; x += WIDE + GAP) {
      const y = GAP + row * COURSE;
      // The film thickens towards the joint.
      for (const [inset, part] of [[-1.2, 0.6], [-0.4, 0.25], [0.6, 0]]) {
        bricks.push(svg('rect', { x: x + inset, y: y + inset, width: WIDE - 2 * inset, height: HIGH - 2 * inset, fill: at(part) }));
      }
      if (edges) bricks.push(svg('path', { d: `M${x + 0.8} ${y + HIGH - 1}V${y + 0.8}H${x + WIDE - 0.8}`, fill: 'none', stroke: edges, 'stroke-width': 1.8 }));
      bricks.push(svg('rect', { x, y, width: WIDE, height: HIGH, class: 'brick' }));
    }
  }
  return svg('g', { transform: `translate(${left} 0)` },
    svg('clipPath', { id: clip }, svg('rect', { x: 0, y: 0, width: ACROSS, height: DOWN })),
    svg('g', { 'clip-path': `url(#${clip})` }, svg('rect', { x: 0, y: 0, width: ACROSS, height: DOWN, fill: at(1) }), ...bricks));
}

function picture(colours) {
  const { base, films, edges, flat, recess } = colours;
  const after = films ? `After it: flats ${flat}, recesses ${recess}${edges ? `, edges ${edges}` : ''}.` : 'No wash lies over it.';
  const both = svg('svg', { viewBox: `0 0 ${2 * ACROSS + 4} ${DOWN}`, role: 'img', 'aria-label': `The wall before its wash: ${base}. ${after}` },
    wall(0, { films: [base], edges: null }), wall(ACROSS + 4, { films: films ?? [base], edges: films ? edges : null }));
  const swatch = (words, hex) => make('span', {}, make('i', { colour: hex }), words);
  const legend = [swatch('base coat', base), ...(films ? [swatch('flats', flat), swatch('recesses', recess), ...(edges ? [swatch('edges', edges)] : [])] : [])];
  return [both, make('p', { className: 'legend' }, ...legend)];
}

/** How far a wash may be off before it is worth a word (CIEDE2000). */
const SHORT = 6;

function words({ laid, off, why }) {
  if (!laid) return why ? sentence(why) : '';
  const short = off && Math.max(...off) > SHORT ? ' Your paints do not quite reach that.' : '';
  return `${laid.map(sentence).join(' ')}${short}`;
}

/** Shows what was told of the surface at hand, or that it is being looked for. */
function show() {
  const box = document.getElementById('wall');
  const surface = doc.current();
  if (!box || !surface) return;
  const answer = told.get(surface.id);
  if (!answer) {
    box.replaceChildren(make('p', { className: 'small', textContent: 'Mixing the wash…' }));
    return;
  }
  if (answer.problem || !answer.base) {
    box.replaceChildren(make('p', { className: 'small', textContent: answer.problem ? sentence(answer.problem) : 'Nothing to wash yet.' }));
    return;
  }
  box.replaceChildren(make('div', { className: 'heads' }, make('span', { textContent: 'before' }), make('span', { textContent: 'after' })), ...picture(answer),
    make('p', { className: 'small', textContent: words(answer) }));
}

/** What is asked, the dial as it stands. */
function question(surface) {
  const drawing = structuredClone(doc.drawing());
  const mine = drawing.surfaces.find((s) => s.name === surface.name);
  if (turned !== null) mine.said = { ...mine.said, grime: String(turned) };
  return { drawing, surface: surface.name };
}

let asked = null;
/** Asks for the colours, if anything has changed that they may hang on. */
export function askWall(dial = null) {
  turned = dial;
  const surface = doc.current();
  if (!surface || !document.getElementById('wall')) return;
  show();
  clearTimeout(waiting);
  waiting = setTimeout(() => {
    const what = question(surface);
    const text = JSON.stringify(what);
    if (asked === text && told.has(surface.id)) return;
    asked = text;
    washed.put(what, (answer, problem) => {
      told.set(surface.id, answer ?? { problem: problem.message });
      show();
      document.dispatchEvent(new CustomEvent('washed'));
    });
  }, SOON);
}

/** The paints are others. */
export function forget() {
  told.clear();
  asked = null;
  askWall();
}
