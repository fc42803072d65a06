// What the page knows: the recipe as written, the last answer, and how it is looked at.

export const COMPONENTS = [
  { key: 'net', word: 'net carbohydrate', unit: 'g' },
  { key: 'CHOCDF', word: 'total carbohydrate', unit: 'g' },
  { key: 'FIBTG', word: 'fibre', unit: 'g' },
  { key: 'FAT', word: 'fat', unit: 'g' },
  { key: 'PROCNT', word: 'protein', unit: 'g' },
  { key: 'ENERC', word: 'energy', unit: '' },
];
const NEW = () => ({ title: 'New recipe', servings: 1, sections: [] });

export const state = {
  form: NEW(),        // the recipe as it stands here
  answer: null,       // what it came to at the last weighing
  weighedAt: null,    // when that was
  saved: null,        // {id, revision, body}: the last revision seen
  key: null,          // what it waits under to be sent, from when it was opened
  provisional: null,  // lines that are being weighed
  past: [],           // forms to go back to
  mode: 'empty',      // empty, loading, ready
  turn: 0,            // of weighings and recipes: what was asked in an earlier one is taken no more
  offline: false, unkept: '',
  way: 'plain', component: 'net', basis: 'net', energy: 'kcal', mass: 'g', house: '',
  only: false, open: null, at: 1, folded: new Set(),
};

export const component = key => {
  const found = COMPONENTS.find(one => one.key === key);
  return found.unit ? found : { ...found, unit: state.energy };
};

export function fresh() {
  Object.assign(state, { form: NEW(), answer: null, weighedAt: null, saved: null, key: null, provisional: null, past: [],
    mode: 'empty', turn: state.turn + 1, way: 'plain', only: false, open: null, at: 1, folded: new Set() });
}

export const lineForms = form => form.sections.flatMap(section => section.lines);
export const isDirty = () => state.mode === 'ready' && JSON.stringify(state.form) !== state.saved?.body;

/** Keep the form as it is for U, then change a copy of it. */
export function change(alter) {
  state.past.push(state.form);
  if (state.past.length > 100) state.past.shift();
  const form = structuredClone(state.form);
  alter(form);
  state.form = form;
}

/** The line of a form by its number from 1, with its section and place. */
export function placeOf(form, number) {
  let left = number;
  for (const [at, section] of form.sections.entries()) {
    if (left <= section.lines.length) return { section, at, row: left - 1, line: section.lines[left - 1] };
    left -= section.lines.length;
  }
  return null;
}
