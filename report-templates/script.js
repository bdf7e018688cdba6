// The page works without this: it adds a switch between daylight and the lamps, a slider between before and after in place
// of its fixed stops, and opens what is folded for paper.
'use strict';
for (const box of document.querySelectorAll('.lamp-switch')) {
  box.hidden = false;
  for (const choice of box.querySelectorAll('input')) {
    choice.addEventListener('change', () => {
      const under = choice.value;
      for (const swatch of document.querySelectorAll('[data-lamps]')) {
        swatch.setAttribute('fill', swatch.getAttribute('data-' + under));
      }
      document.documentElement.classList.toggle('under-lamps', under === 'lamps');
    });
  }
}
for (const states of document.querySelectorAll('.states')) {
  const cut = states.querySelector('.cut');
  const show = () => {
    states.style.setProperty('--clean', cut.value + '%');
    cut.setAttribute('aria-valuetext', cut.value + ' per cent clean');
  };
  const follow = (event) => {
    const { left, width } = states.querySelector('.after').getBoundingClientRect();
    cut.value = 100 * (event.clientX - left) / width;
    show();
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
  cut.addEventListener('input', show);
  cut.hidden = false;
  states.classList.add('slides');
  show();
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
