// Grams in the reader's unit where they are typed, and where the service writes them in a sentence.
import { state } from './state.js';
import { OUNCE, weight } from './figures.js';

/** Grams in a text of the service in the reader's unit. */
export const reworded = text => state.mass === 'g' ? text : text.replace(/(\d[\d,]*(?:\.\d+)?) g\b/g, (_, grams) => `${weight(Number(grams.replaceAll(',', '')))} oz`);
/** Grams for a field in the reader's unit, and what was typed there back in grams. */
export const inUnit = grams => grams === null || grams === undefined ? '' : state.mass === 'oz' ? Number((grams / OUNCE).toFixed(2)) : grams;
export const gramsIn = text => text === '' ? null : state.mass === 'oz' ? Number((Number(text) * OUNCE).toFixed(3)) : Number(text);
