// The layout as a whole, where the browser itself keeps it: loaded from a file or a folder, and saved as one file.
import * as engine from './engine.js';
import { Problem } from './ask.js';
import { make } from './make.js';
import * as doc from './work.js';

const { work } = doc;
const $ = (id) => document.getElementById(id);
const hooks = {};
/** Sets what is called: failed(problem), say(words), today(), notice(id, words, actions, urgent). */
export const setHooks = (given) => Object.assign(hooks, given);

/** Whether a file is a layout. */
export const is = (file) => engine.layout !== null && /\.zip$/i.test(file.name);

/** Puts another layout in the place of this one, after asking where something would be lost. */
async function replace(change) {
  const go = async () => {
    hooks.notice('layout');
    try {
      const told = await change();
      if (!told) return;
      if (told.status && told.status !== 200) throw new Problem(told.told.problem, told.told.hint);
      // All of it is kept: the page begins anew with it.
      doc.forget();
      window.location.reload();
    } catch (problem) {
      hooks.failed(problem);
    }
  };
  if (!work.photos.length && !work.surfaces.length) {
    await go();
    return;
  }
  hooks.notice('layout', 'This replaces the layout that is here now. If you want to keep that, save it as a file first.', [
    ['Save it as a file', () => save()], ['Go on', go], ['Leave it', () => hooks.notice('layout')],
  ], true);
}

export const load = (file) => replace(() => engine.layout.load(file));

function offer(blob, name) {
  const link = make('a', { href: URL.createObjectURL(blob), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

const plainName = () => work.title.replace(/[^\p{L}\p{N} -]/gu, '').trim() || 'layout';

/** The layout as one file. What is drawn and not saved is in it too. */
export async function save() {
  try {
    const blob = await engine.layout.pack(hooks.today());
    offer(blob, `${plainName()}.zip`);
    hooks.say('the layout is saved as one file');
  } catch (problem) {
    hooks.failed(problem);
  }
}

if (engine.layout) {
  const input = make('input', { type: 'file', accept: '.zip', hidden: true, id: 'layout-file' });
  input.addEventListener('change', async () => {
    const [file] = input.files;
    if (file) await load(file);
    input.value = '';
  });
  const button = (id, words, act) => make('button', { type: 'button', id, textContent: words, onclick: act });
  const openFolder = () => replace(() => engine.layout.folder());
  const folder = engine.layout.folder ? [button('layout-folder', 'Open a folder', openFolder)] : [];
  $('whole-layout').append(
    make('h3', { textContent: 'The layout as a whole' }),
    make('p', { className: 'small', textContent: 'Only this browser keeps it. Save it as a file now and then: a browser may be cleared.' }),
    make('div', { className: 'actions' }, button('layout-save', 'Save it as one file', save), button('layout-load', 'Load one', () => input.click()), ...folder,
      button('layout-new', 'Begin another', () => replace(() => engine.layout.clear()))),
    input,
  );
  $('whole-layout').hidden = false;
  $('begin-layout').append(
    button('begin-load', 'Load a layout', () => input.click()),
    ...(folder.length ? [button('begin-folder', 'Open a folder', openFolder)] : []),
    button('begin-example', 'Look at an example', () => replace(() => engine.layout.example())),
  );
  $('begin-layout').hidden = false;
  document.body.classList.add('alone');
}
