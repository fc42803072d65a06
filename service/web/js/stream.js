// The results of a list as a stream of JSON Lines.
import { Offline, send } from './api.js';

/** Each line's result as it comes; `each` is called with the result and its place until it says that it has all. */
export async function stream(text, each) {
  const answer = await send('POST', '/resolutions', { body: { text, components: [] }, accept: 'application/jsonl' });
  const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
  let held = '', place = 0;
  try {
    for (;;) {
      const { value, done } = await reader.read();
      held += value ?? '';
      const records = held.split('\n');
      held = done ? '' : records.pop();
      for (const record of records) if (record && each(JSON.parse(record), place++)) return;
      if (done) return;
    }
  } catch { throw new Offline('the answer of the service broke off'); }
}
