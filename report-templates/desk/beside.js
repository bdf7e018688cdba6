// The tools, beside what is at hand.
import { isShown, size, toScreen } from './lie.js';
import { button } from './make.js';
import { onDrawn, pen } from './marks.js';
import * as rub from './rub.js';
import * as doc from './work.js';

const box = document.getElementById('tools');
const stage = document.getElementById('stage');

/** Which tools are offered: with nothing at hand, to begin; beside a region, to go on with it. */
function offered() {
  const here = doc.part();
  if (!doc.photo()) return [];
  if (!here) return ['rub', 'outline', 'suggest', 'move'];
  const inside = { scatter: ['leave-out', 'band', 'place'], [doc.KNOWN]: ['leave-out'] }[doc.current().treatment] ?? ['leave-out', 'place'];
  return rub.wants() ? ['rub', 'rub-out', 'move'] : ['rub', 'rub-out', 'outline', ...inside, ...(pen.tool === 'move' ? [] : ['move'])];
}

let shown = '';
/** Shows the tools; `does` sets a tool, and takes in more or less. */
export function showTools(tools, does) {
  const wanted = offered();
  if (wanted.length && !wanted.includes(pen.tool)) wanted.push(pen.tool);
  const reaches = rub.wants() && rub.isOpen();
  const what = `${wanted}|${reaches}|${Boolean(doc.part())}|${pen.draft.length > 0}`;
  if (what === shown) return;
  shown = what;
  const focused = box.contains(document.activeElement) ? document.activeElement.dataset.tool : null;
  const buttons = wanted.map((name) => {
    const [, label, keyed] = tools.find(([tool]) => tool === name);
    const b = button(name === 'rub' && doc.part() ? 'Rub another' : label, keyed, () => does.setTool(name));
    b.dataset.tool = name;
    return b;
  });
  // Before the way back to choosing, so that they are in view where the row is longer than the window.
  if (reaches) buttons.splice(2, 0, button('Take in more', '.', () => does.reachOn(1.3)), button('Take in less', ',', () => does.reachOn(1 / 1.3)));
  box.replaceChildren(...buttons);
  box.hidden = !wanted.length;
  // While corners are set, what is drawn must not be covered, nor move because the tools are gone.
  box.classList.toggle('away', pen.draft.length > 0);
  if (focused) box.querySelector(`[data-tool="${focused}"]`)?.focus();
  place();
}

/** Room between the tools and what they stand beside; and half of what is taken hold of at a corner. */
const GAP = 18;
const HANDLE = 9;

/** Width and height of the tools, in a column or in a row. */
function sized(tall) {
  box.classList.toggle('tall', tall);
  return [box.offsetWidth, box.offsetHeight];
}

/** What is at hand fills the window: where the tools cover fewest of its corners, and least of it. */
function overIt(places, [l, t, r, b], [w, h]) {
  const tried = [true, false].flatMap((tall) => {
    const [bw, bh] = sized(tall);
    const [right, low] = [w - bw - 8, h - bh - 8];
    const at = tall ? [[right, 8], [8, 8]] : [[8, 8], [right, 8], [right / 2, 8], [right, low]];
    return at.map(([x, y]) => {
      const corners = places.filter(([px, py]) => px > x - HANDLE && px < x + bw + HANDLE && py > y - HANDLE && py < y + bh + HANDLE).length;
      const common = Math.max(0, Math.min(r, x + bw) - Math.max(l, x)) * Math.max(0, Math.min(b, y + bh) - Math.max(t, y));
      return { tall, at: [x, y], cost: corners * w * h + common };
    });
  });
  const best = tried.reduce((one, other) => (other.cost < one.cost ? other : one));
  sized(best.tall);
  return best.at;
}

/** Beside the region at hand, in a column, where there is room; else above or below it, else where they cover least. */
function place() {
  // While one draws they keep to the corner, so that they lie in nobody's way.
  const outline = pen.tool === 'move' ? doc.part()?.outline : null;
  const [w, h] = size();
  let at = null;
  if (outline && isShown()) {
    const places = outline.map(toScreen);
    const [xs, ys] = [places.map((p) => p[0]), places.map((p) => p[1])];
    const [l, t, r, b] = [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
    const [tw, th] = sized(true);
    const inY = Math.min(h - th - 8, Math.max(8, t));
    if (r + GAP + tw < w) at = [r + GAP, inY];
    else if (l - GAP - tw > 0) at = [l - GAP - tw, inY];
    if (!at) {
      const [bw, bh] = sized(false);
      const inX = Math.min(w - bw - 8, Math.max(8, l));
      if (b + GAP + bh < h) at = [inX, b + GAP];
      else if (t - GAP - bh > 0) at = [inX, t - GAP - bh];
    }
    at ??= overIt(places, [l, t, r, b], [w, h]);
  } else sized(false);
  const [x, y] = at ?? [8, 8];
  box.style.left = `${x}px`;
  box.style.top = `${y + stage.offsetTop}px`;
}
onDrawn(place);
