// Points and outlines, as fractions of the photo's width and height.

export const clamp = (v) => Math.min(1, Math.max(0, v));
export const clamped = ([x, y]) => [clamp(x), clamp(y)];

/** Whether a point lies inside (even-odd). */
export function inside([x, y], outline) {
  let within = false;
  for (let i = 0, j = outline.length - 1; i < outline.length; j = i, i += 1) {
    const [ax, ay] = outline[i];
    const [bx, by] = outline[j];
    if ((ay > y) !== (by > y) && x < ax + ((y - ay) / (by - ay)) * (bx - ax)) within = !within;
  }
  return within;
}

/** Area by the shoelace formula. */
export function area(outline) {
  let sum = 0;
  outline.forEach(([ax, ay], i) => {
    const [bx, by] = outline[(i + 1) % outline.length];
    sum += ax * by - bx * ay;
  });
  return Math.abs(sum) / 2;
}

/** Moves an outline by a step, no farther than the photo's edge. */
export function moved(outline, [dx, dy]) {
  const xs = outline.map((p) => p[0]);
  const ys = outline.map((p) => p[1]);
  const x = Math.min(1 - Math.max(...xs), Math.max(-Math.min(...xs), dx));
  const y = Math.min(1 - Math.max(...ys), Math.max(-Math.min(...ys), dy));
  return outline.map(([px, py]) => [clamp(px + x), clamp(py + y)]);
}

/** The first two sides that cross, counted from 0; null when none do. */
export function crossing(outline) {
  const turn = (a, b, c) => (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
  const n = outline.length;
  for (let i = 0; i < n; i += 1) {
    for (let j = i + 2; j < n; j += 1) {
      if (i === 0 && j === n - 1) continue;
      const [a, b, c, d] = [outline[i], outline[(i + 1) % n], outline[j], outline[(j + 1) % n]];
      if (turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0) return [i, j];
    }
  }
  return null;
}

/** Halfway between a corner and the next one. */
export function halfway(outline, i) {
  const [a, b] = [outline[i], outline[(i + 1) % outline.length]];
  return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
}

/** A box from two of its corners. */
export function box([ax, ay], [bx, by]) {
  const [l, r] = [Math.min(ax, bx), Math.max(ax, bx)];
  const [t, b] = [Math.min(ay, by), Math.max(ay, by)];
  return [[l, t], [r, t], [r, b], [l, b]];
}

/** Where on the photo an outline lies, in words: by thirds, by the middle of its area. */
export function whereabouts(outline) {
  const [mx, my] = middle(outline);
  const third = (v, words) => words[Math.min(2, Math.floor(3 * clamp(v)))];
  const [across, down] = [third(mx, ['left', '', 'right']), third(my, ['upper', '', 'lower'])];
  if (down && across) return `${down} ${across}`;
  return across || { upper: 'top', lower: 'bottom' }[down] || 'middle';
}

/** The middle of an outline's area; of its corners where it has none. */
function middle(outline) {
  let [sum, x, y] = [0, 0, 0];
  outline.forEach(([ax, ay], i) => {
    const [bx, by] = outline[(i + 1) % outline.length];
    const twice = ax * by - bx * ay;
    sum += twice;
    x += (ax + bx) * twice;
    y += (ay + by) * twice;
  });
  const mean = (c) => outline.reduce((all, p) => all + p[c], 0) / outline.length;
  return Math.abs(sum) < 1e-9 ? [mean(0), mean(1)] : [x / (3 * sum), y / (3 * sum)];
}

/** Share of a part's area that a band or place covers, by a grid of points. */
export function shareOf(zone, part) {
  let [all, covered] = [0, 0];
  const n = 90;
  const xs = part.outline.map((p) => p[0]);
  const ys = part.outline.map((p) => p[1]);
  const [l, t, w, h] = [Math.min(...xs), Math.min(...ys), Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys)];
  for (let i = 0; i < n * n; i += 1) {
    const at = [l + (w * ((i % n) + 0.5)) / n, t + (h * (Math.floor(i / n) + 0.5)) / n];
    if (!inside(at, part.outline) || part.leave_out.some((hole) => inside(at, hole.outline))) continue;
    all += 1;
    if (inside(at, zone.outline) && !zone.leave_out.some((hole) => inside(at, hole.outline))) covered += 1;
  }
  return all ? covered / all : 0;
}

/** An area as it is written: width times height is worked out. */
export function areaWords(text) {
  const found = /^\s*([\d.,]+)\s*(mm|cm|dm|m)?\s*[x×*]\s*([\d.,]+)\s*(mm|cm|dm|m)\s*$/i.exec(text);
  if (!found) return text.trim();
  const cm = { mm: 0.1, cm: 1, dm: 10, m: 100 };
  const number = (v) => Number(v.replace(',', '.'));
  const [, a, first, b, last] = found;
  const area = number(a) * cm[(first ?? last).toLowerCase()] * number(b) * cm[last.toLowerCase()];
  return Number.isFinite(area) ? `${Number(area.toPrecision(4))} cm2` : text.trim();
}
