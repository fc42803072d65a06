// What a list needs once there is one: it is fetched when somebody starts to write, and not before.
import * as keys from './keys.js';
import { sendAgain } from './saving.js';

export { bench, closeBench } from './bench.js';
export { drawMakes } from './makes.js';
export { drawWays } from './serving.js';
export { copyTotals, drawHandOut } from './publish.js';
export { readFile } from './files.js';
export { rove, seek } from './keys.js';
export { rename, sectionActs } from './naming.js';
export { asText, undo, weighForm, weighText } from './weigh.js';
export { show, startAnew, takeUp } from './opening.js';
export { flush, save, stand } from './saving.js';

export function listen(acts) {
  keys.listen(acts);
  sendAgain(acts);
}
