// Elements, and numbers in words.

/** An element with properties, and what is in it. */
export function make(name, properties = {}, ...inside) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(properties)) {
    if (key === 'colour') element.style.backgroundColor = value;
    else if (key.includes('-')) element.setAttribute(key, value);
    else element[key] = value;
  }
  element.append(...inside.filter((i) => i !== null));
  return element;
}

export const key = (words) => make('kbd', { textContent: words });

/** A button with the key that does the same. */
export function button(words, keys, act, label = null) {
  const b = make('button', { type: 'button', onclick: act }, keys ? `${words} ` : words, ...(keys ? [key(keys)] : []));
  if (label) b.setAttribute('aria-label', label);
  return b;
}

export const percent = (share) => {
  const p = 100 * share;
  return p > 0 && p < 1 ? 'under 1 %' : `${Math.round(p)} %`;
};

const lab = (v) => v.map((n) => Math.round(n) + 0);
export const values = (hex, v) => {
  const [l, a, b] = lab(v);
  return `${hex} · L* ${l} a* ${a} b* ${b}`;
};

/** With a capital and a full stop; a file's name in front stays as it is written. */
export const sentence = (words) => {
  const first = /^[^:]*\.\w+:/.test(words) ? words[0] : words[0].toUpperCase();
  return `${first}${words.slice(1)}${/[.!?…]$/.test(words) ? '' : '.'}`;
};
