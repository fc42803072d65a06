// Grams in the reader's unit where they are typed, and where the service writes them in a sentence.
import { state } from './state.js';
import { OUNCE, weight } from './figures.js';
import { numberIn } from './typed.js';

/** Grams in a text of the service in the reader's unit. */
export const reworded = text => state.mass === 'g' ? text : text.replace(/(\d[\d,]*(?:\.\d+)?) g\b/g, (_, grams) => `${weight(Number(grams.replaceAll(',', '')))} oz`);
/** Grams for a field in the reader's unit, and what was typed there back in grams: a field names its unit, and keeps it
 * where the reader's is another meanwhile. */
export const inUnit = (grams, unit = state.mass) => grams === null || grams === undefined ? '' : unit === 'oz' ? Number((grams / OUNCE).toFixed(2)) : grams;
export function gramsIn({ value, dataset }) {
  const number = numberIn(value);
  return number !== null && dataset.unit === 'oz' ? Number((number * OUNCE).toFixed(3)) : number;
}
