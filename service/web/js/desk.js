// What a list needs once there is one: it is fetched when somebody starts to write, and not before.
export { bench, closeBench } from './bench.js';
export { drawMakes } from './makes.js';
export { drawWays } from './serving.js';
export { copyTotals, drawHandOut } from './publish.js';
export { listen, rove, seek } from './keys.js';
export { asText, undo, weighForm, weighText } from './weigh.js';
export { bodyOf, flush, makeRecipe, save, seenAs, stand } from './saving.js';
