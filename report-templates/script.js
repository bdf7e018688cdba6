// The page works without this: it adds a switch between daylight and the lamps, and opens what is folded for paper.
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
