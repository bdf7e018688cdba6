// The page works without this: it keeps ticks, shows what comes next and where, lights a tone in photo, map and chip, and
// switches swatches between daylight and the lamps.
'use strict';
const steps = [...document.querySelectorAll('.step')];
const box = (step) => step.querySelector('input');
// Ticks stay with what a step says, except for its numbers: they hold when an amount changes or a step comes before it.
const store = 'hillwash ' + document.title;
const alike = new Map();
const said = new Map(steps.map((step) => {
  const words = step.querySelector('.step-words').textContent.replace(/[\d.,]+/g, '').trim();
  alike.set(words, (alike.get(words) ?? 0) + 1);
  return [step, words + ' ' + alike.get(words)];
}));
/** The steps that were ticked: by number where the address tells them, else by what they say. */
const kept = () => {
  const told = /[#&]done=([\d.]*)/.exec(location.hash);
  if (told) return steps.filter((s) => told[1].split('.').includes(s.id.slice(5)));
  try {
    const done = JSON.parse(localStorage.getItem(store) ?? '[]');
    return steps.filter((s) => done.includes(said.get(s)));
  } catch { return []; }
};
const keep = () => {
  const done = steps.filter((s) => box(s).checked);
  try { localStorage.setItem(store, JSON.stringify(done.map((s) => said.get(s)))); } catch {
    history.replaceState(null, '', '#done=' + done.map((s) => s.id.slice(5)).join('.'));
  }
};
const bar = document.querySelector('.next');
let now = null;
const fold = document.querySelector('.next-photo');
const look = (place) => {
  if (!place || !document.querySelector(`.place[data-place="${place}"]`)) return;
  for (const figure of document.querySelectorAll('.where-photo .place')) figure.classList.toggle('shown', figure.dataset.place === place);
};
const show = () => {
  const next = steps.find((s) => !box(s).checked) ?? null;
  for (const step of steps) {
    step.classList.toggle('ticked', box(step).checked);
    step.classList.toggle('now', step === next);
  }
  for (const link of document.querySelectorAll('.evening a')) {
    const step = document.getElementById('step-' + link.dataset.step);
    link.classList.toggle('ticked', box(step).checked);
    link.classList.toggle('now', step === next);
  }
  if (!bar) return;
  bar.querySelector('.count').textContent = steps.filter((s) => box(s).checked).length + ' of ' + steps.length + ' done';
  bar.querySelector('.done').hidden = next === null;
  if (next === now && now !== null) return;
  now = next;
  const swatch = bar.querySelector('.next-swatch');
  const what = bar.querySelector('.next-what');
  const where = bar.querySelector('.next-where');
  swatch.replaceChildren(); where.replaceChildren();
  if (next === null) { what.textContent = 'All done. Put the brushes away.'; return; }
  const from = next.querySelector('.step-swatch svg');
  if (from) swatch.append(from.cloneNode(true));
  what.replaceChildren(...[...next.querySelector('label').childNodes].map((n) => (n.nodeName === 'B' ? document.createTextNode(n.textContent) : n.cloneNode(true))));
  where.append(...[...next.querySelector('.where').childNodes].map((n) => n.cloneNode(true)));
  look(next.dataset.place);
  const place = document.querySelector('.where-photo .place.shown');
  fold.hidden = !place || !next.dataset.place;
  fold.lastElementChild.replaceChildren(...(fold.hidden ? [] : [place.cloneNode(true)]));
};
if (bar && steps.length > 0) {
  const done = kept();
  for (const step of steps) {
    box(step).checked = done.includes(step);
    box(step).addEventListener('change', () => { keep(); show(); });
    step.addEventListener('pointerenter', () => look(step.dataset.place));
    step.addEventListener('focusin', () => look(step.dataset.place));
  }
  bar.querySelector('.done').addEventListener('click', () => {
    if (now === null) return;
    box(now).checked = true;
    keep(); show();
  });
  bar.querySelector('.count').hidden = false;
  now = undefined;
  show();
}
// Shown inside another page, a link to a place here would lead there.
if (location.protocol === 'about:') {
  document.addEventListener('click', (event) => {
    const id = event.target.closest?.('a[href^="#"]')?.getAttribute('href').slice(1);
    if (!id) return;
    event.preventDefault();
    const place = document.getElementById(id);
    if (place?.tagName === 'DETAILS') place.open = true;
    place?.scrollIntoView();
  });
}
// A craft note unfolds when it is pointed to.
const unfold = () => {
  const note = /^#craft-/.test(location.hash) ? document.getElementById(location.hash.slice(1)) : null;
  if (note) note.open = true;
};
addEventListener('hashchange', unfold);
unfold();
// Pointing at a tone lights it in photo, map and chip.
for (const sheet of document.querySelectorAll('.sheet')) {
  const parts = [...sheet.querySelectorAll('[data-tone]')];
  const light = (tone) => { for (const part of parts) part.classList.toggle('lit', part.dataset.tone === tone); };
  for (const part of parts) {
    part.addEventListener('pointerenter', () => light(part.dataset.tone));
    part.addEventListener('pointerleave', () => light(null));
  }
}
for (const choice of document.querySelectorAll('.lamp-switch')) {
  choice.hidden = false;
  for (const input of choice.querySelectorAll('input')) {
    input.addEventListener('change', () => {
      for (const swatch of document.querySelectorAll('[data-lamps]')) {
        swatch.dataset.daylight ??= swatch.getAttribute('fill');
        swatch.setAttribute('fill', swatch.dataset[input.value]);
      }
      document.documentElement.classList.toggle('under-lamps', input.value === 'lamps');
    });
  }
}
for (const states of document.querySelectorAll('.states')) {
  const cut = states.querySelector('.cut');
  const slide = () => {
    states.style.setProperty('--clean', cut.value + '%');
    cut.setAttribute('aria-valuetext', cut.value + ' per cent clean');
  };
  const follow = (event) => {
    const { left, width } = states.querySelector('.after').getBoundingClientRect();
    cut.value = 100 * (event.clientX - left) / width;
    slide();
  };
  for (const picture of states.querySelectorAll('img')) {
    picture.draggable = false;
    picture.addEventListener('pointerdown', (event) => {
      picture.setPointerCapture(event.pointerId);
      follow(event);
    });
    picture.addEventListener('pointermove', (event) => {
      if (picture.hasPointerCapture(event.pointerId)) follow(event);
    });
  }
  cut.addEventListener('input', slide);
  cut.hidden = false;
  states.classList.add('slides');
  slide();
}
const folded = [];
addEventListener('beforeprint', () => {
  for (const part of document.querySelectorAll('details:not([open])')) {
    part.open = true;
    folded.push(part);
  }
});
addEventListener('afterprint', () => {
  for (const part of folded.splice(0)) part.open = false;
});
