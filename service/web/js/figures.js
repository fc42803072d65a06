// Figures as text: what is not known says so, and is never 0.
import { state } from './state.js';

export const OUNCE = 28.349523125;
const FORMATS = [0, 1, 2].map(digits => new Intl.NumberFormat('en', { minimumFractionDigits: digits, maximumFractionDigits: digits }));
export const places = unit => unit === 'kcal' || unit === 'kJ' ? 0 : 1;

/** Rounded as the card is: halves up, or outwards. Twelve digits drop the noise of binary fractions. */
export function rounded(value, digits, way = 'half') {
  const steps = Number((Math.abs(value) * 10 ** digits).toPrecision(12)), up = (way === 'up') !== (value < 0 && way !== 'half');
  const whole = way === 'half' ? Math.floor(steps + .5) : up ? Math.ceil(steps) : Math.floor(steps);
  return FORMATS[digits].format(Math.sign(value) * whole / 10 ** digits);
}

/** A known number: "0", "under 0.1", "12.3". */
export function number(value, unit) {
  const digits = places(unit), step = 10 ** -digits;
  if (value === 0) return '0';
  if (Math.abs(value) < step / 2) return value < 0 ? 'about 0' : `under ${step}`;
  return rounded(value, digits);
}

/** A figure of the API: its value, or its span, or "at least", or "not known"; `brief` where there is little room. */
export function figure(total, unit, { brief = false } = {}) {
  if (!total) return 'not known';
  const digits = places(unit);
  if (total.value !== null) return number(total.value, unit);
  if (total.high !== null) return [rounded(total.low, digits, 'down'), rounded(total.high, digits, 'up')].join('–');
  const least = rounded(Math.max(0, total.low), digits, 'down');
  return Number(least.replaceAll(',', '')) > 0 ? `${brief ? '≥\u00a0' : 'at least '}${least}` : 'not known';
}

export const withUnit = (total, unit, more) => {
  const text = figure(total, unit, more);
  return text === 'not known' ? text : `${text} ${unit}`;
};

/** Grams, or ounces where the reader wants those. */
export function weight(grams) {
  if (state.mass === 'oz') { const oz = grams / OUNCE; return oz >= 100 ? FORMATS[0].format(Math.round(oz)) : oz >= .095 ? oz.toFixed(1) : oz.toFixed(2); }
  return grams >= 100 ? FORMATS[0].format(Math.round(grams)) : grams >= 10 ? String(Math.round(grams)) : grams.toFixed(1);
}
export const massUnit = () => state.mass;

/** The figure of a component in figures of the API; `ENERC` is energy in the reader's unit. */
export function read(figures, key) {
  if (!figures) return null;
  if (key === 'net') return figures.net_carbohydrate;
  return figures.components[key === 'ENERC' ? (state.energy === 'kJ' ? 'ENERC_KJ' : 'ENERC_KCAL') : key] ?? null;
}
export const tagOf = key => key === 'net' ? 'net_carbohydrate' : key === 'ENERC' ? (state.energy === 'kJ' ? 'ENERC_KJ' : 'ENERC_KCAL') : key;

export function ratioText(ratio) {
  if (!ratio) return 'not known';
  if (ratio.value !== null) return `${rounded(ratio.value, 2)} : 1`;
  if (ratio.remark === 'no protein or carbohydrate') return 'none';
  return ratio.low !== null && ratio.high !== null ? `${rounded(ratio.low, 2, 'down')}–${rounded(ratio.high, 2, 'up')} : 1` : 'not known';
}

/** Shares of 1 as whole percents that add up to 100, as the card has them. */
export function percents(shares) {
  const exact = Object.entries(shares).map(([name, part]) => ({ name, part: Number((part * 100).toPrecision(12)) }));
  const down = Object.fromEntries(exact.map(({ name, part }) => [name, Math.floor(part)]));
  const left = 100 - Object.values(down).reduce((sum, part) => sum + part, 0);
  exact.sort((a, b) => (b.part % 1) - (a.part % 1)).slice(0, left).forEach(({ name }) => { down[name] += 1; });
  return down;
}

export function share(part) {
  return part === null || part === undefined ? '' : part < .005 ? 'under 1 %' : `${Math.round(100 * part)} %`;
}

export const clock = date => date.toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit' });
export const day = text => new Date(text).toLocaleString('en-GB', { dateStyle: 'medium', timeStyle: 'short' });
export const count = (n, word) => `${FORMATS[0].format(n)} ${word}${n === 1 ? '' : 's'}`;
