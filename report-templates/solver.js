// A schedule that carries the core: it is solved again for another list, in a worker, without a network.
'use strict';
(() => {
  const $ = (id) => document.getElementById(id);
  const frame = $('solve-frame');
  // Told at the top, for the place itself is at the end.
  const way = document.createElement('p');
  way.className = 'to-solve screen-only';
  const link = document.createElement('a');
  link.href = '#solve';
  link.textContent = 'The same with your own paints';
  way.append(link);
  document.querySelector('h1').after(way);
  const tell = (words) => { $('solve-told').textContent = words; };
  let worker = null;
  let core = null;
  let made = null;
  const bytes = (text) => (Uint8Array.fromBase64 ? Uint8Array.fromBase64(text) : Uint8Array.from(atob(text), (c) => c.charCodeAt(0)));
  const today = () => {
    const now = new Date();
    return `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, '0')}-${String(now.getDate()).padStart(2, '0')}`;
  };
  const solve = (name, list) => {
    if (!worker) {
      worker = new Worker(URL.createObjectURL(new Blob([$('worker').textContent], { type: 'text/javascript' })));
      core = bytes($('core').textContent.trim()).buffer;
    }
    tell('Working it out…');
    $('solve-near').replaceChildren();
    const plan = new TextEncoder().encode($('plan').textContent);
    worker.onmessage = ({ data }) => {
      const text = new TextDecoder().decode(data.bytes);
      if (data.status !== 200) {
        const { problem, hint } = JSON.parse(text);
        tell(`${problem}${hint ? `. ${hint}` : ''}`);
        return;
      }
      const end = text.indexOf('\n');
      const told = JSON.parse(text.slice(0, end));
      made = text.slice(end + 1);
      tell(`Solved for your ${told.paints} paints. How near your mixes and theirs will be to each other:`);
      $('solve-near').replaceChildren(...told.near.map(({ name: surface, words }) => {
        const line = document.createElement('li');
        line.textContent = `${surface}: ${words ?? 'no tone has two mixes'}`;
        return line;
      }));
      frame.srcdoc = made;
      frame.hidden = false;
      for (const id of ['solve-save', 'solve-back']) $(id).hidden = false;
      document.body.classList.add('solved');
    };
    worker.postMessage({ plan, core, name, list, date: today() });
  };
  const take = async (file) => solve(file.name, await file.arrayBuffer());
  $('solve-file').addEventListener('change', () => { if ($('solve-file').files[0]) take($('solve-file').files[0]); });
  $('solve-go').addEventListener('click', () => {
    const [file] = $('solve-file').files;
    if ($('solve-text').value.trim()) solve('the list', new TextEncoder().encode($('solve-text').value).buffer);
    else if (file) take(file);
    else tell('Give a list first: a file, or text.');
  });
  $('solve-back').addEventListener('click', () => {
    frame.hidden = true;
    $('solve-back').hidden = true;
    document.body.classList.remove('solved');
    tell('');
    $('solve-near').replaceChildren();
  });
  $('solve-save').addEventListener('click', () => {
    const link = document.createElement('a');
    link.href = URL.createObjectURL(new Blob([made], { type: 'text/html' }));
    link.download = `${document.title.split(':')[0].replace(/[^\p{L}\p{N} -]/gu, '').trim() || 'schedule'}, my paints.html`;
    link.click();
  });
  document.addEventListener('dragover', (event) => event.preventDefault());
  document.addEventListener('drop', (event) => {
    event.preventDefault();
    if (event.dataTransfer.files[0]) take(event.dataTransfer.files[0]);
  });
})();
