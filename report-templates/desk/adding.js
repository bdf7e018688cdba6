// Photos that come in: dropped on the page, picked, or taken by a phone.
import { Problem, give } from './ask.js';
import * as layout from './layout.js';

const $ = (id) => document.getElementById(id);

/** Sends one file; gives what is told of it. */
async function send(file, where, more = {}) {
  try {
    return await give(where, more, file);
  } catch (problem) {
    throw problem.message.startsWith(file.name) ? problem : new Problem(`${file.name}: ${problem.message}`, problem.hint);
  }
}

/** Whether a file is a friend's schedule by its name. */
const isSchedule = (file) => /\.(html?|json)$/i.test(file.name);

/** Whether a file is a list by its name: of paints, or of scatter. */
const isList = (file) => /\.(csv|tsv|txt|ods|xlsx?|xlsm|toml)$/i.test(file.name);

/** Lets photos, schedules and lists be dropped and picked; `added`, `friend` and `list` are told each, `failed` what went wrong. */
export function listen({ added, friend, list, failed, today }) {
  const take = async (files) => {
    const problems = [];
    for (const file of files) {
      try {
        if (layout.is(file)) await layout.load(file);
        else if (isSchedule(file)) friend(await send(file, 'friend', { date: today() }));
        else if (isList(file)) await list(file);
        else added(await send(file, 'photo'));
      } catch (problem) {
        problems.push(problem);
      }
    }
    const hints = [...new Set(problems.map((problem) => problem.hint).filter(Boolean))];
    if (problems.length) failed(problems.length === 1 ? problems[0] : new Problem(problems.map((problem) => problem.message).join('; '), hints.join('; ')));
  };
  const input = $('files');
  for (const id of ['pick', 'pick-first']) $(id).addEventListener('click', () => input.click());
  input.addEventListener('change', async () => {
    await take([...input.files]);
    input.value = '';
  });
  const stage = $('stage');
  const brings = (event) => [...(event.dataTransfer?.types ?? [])].includes('Files');
  document.addEventListener('dragover', (event) => {
    if (!brings(event)) return;
    event.preventDefault();
    stage.classList.add('dropping');
  });
  document.addEventListener('dragleave', (event) => { if (!event.relatedTarget) stage.classList.remove('dropping'); });
  document.addEventListener('drop', (event) => {
    stage.classList.remove('dropping');
    if (!brings(event)) return;
    event.preventDefault();
    take([...event.dataTransfer.files]);
  });
}
