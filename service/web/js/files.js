// A file that is opened or dropped, as the text of the list.
import * as notices from './notices.js';

const LARGEST = 5 * 1024 * 1024;

export async function readFile(file, use) {
  if (file.size > LARGEST) return notices.show('error', 'That file was not read.', 'It is larger than 5 MB.');
  try {
    const text = new TextDecoder('utf-8', { fatal: true }).decode(await file.arrayBuffer());
    if (text.includes('\0')) throw new TypeError('binary');
    return use(text);
  } catch { return notices.show('error', 'That file was not read.', 'It is no text in UTF-8. What you had typed is still there.'); }
}
