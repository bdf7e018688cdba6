// Solves a schedule again for another list. `host.js` stands before it.

onmessage = async ({ data }) => {
  let answer;
  try {
    if (!module) await unpacked(data.core);
    begin();
    const body = new Uint8Array(data.plan.length + data.list.byteLength);
    body.set(data.plan);
    body.set(new Uint8Array(data.list), data.plan.length);
    ({ answer } = raw(`solve?${new URLSearchParams({ plan: data.plan.length, list: data.name, date: data.date })}`, body.buffer));
  } catch (cause) {
    answer = refused(`That could not be worked out: ${cause?.message ?? cause}.`);
  }
  core = null;
  postMessage(answer, [answer.bytes]);
};
