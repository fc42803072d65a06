// What a screen reader is told, once each.
import { $ } from './dom.js';

const spoken = text => text.replace(/(\d)–(\d)/g, '$1 to $2').replaceAll('→', 'becomes');

export function say(text) {
  const place = $('said');
  place.textContent = '';
  requestAnimationFrame(() => { place.textContent = spoken(text); });
}
