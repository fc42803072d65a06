// The client of /v1: problems as errors, silence as Offline.
import * as access from './access.js';

export class Problem extends Error {
  constructor(status, body, retryAfter) {
    // The place of a fault in what was sent tells a reader its last word only.
    super(body?.detail?.replace(/^\/(?:\w+\/)*(\w+: )/, '$1') || `the service answered ${status}`);
    Object.assign(this, { status, body: body ?? {}, errors: body?.errors ?? [], retryAfter });
  }
}
export class Offline extends Error {}

const JSON_TYPE = 'application/json';
const PATIENCE = 60_000;

export async function send(method, path, { body, type = JSON_TYPE, accept = JSON_TYPE, seen, once, signal } = {}) {
  const headers = { Accept: accept }, key = access.key();
  if (key) headers.Authorization = `Bearer ${key}`;
  if (body !== undefined) headers['Content-Type'] = type;
  if (seen !== undefined) headers['If-Match'] = seen === '*' ? '*' : `"${seen}"`;
  if (once) headers['Idempotency-Key'] = once;
  const sent = body === undefined || typeof body === 'string' ? body : JSON.stringify(body);
  const timeout = AbortSignal.timeout(PATIENCE);
  let answer;
  try {
    answer = await fetch(`/v1${path}`, { method, headers, body: sent, signal: signal ? AbortSignal.any([signal, timeout]) : timeout });
  } catch (error) {
    if (signal?.aborted) throw error;
    throw new Offline('no answer from the service');
  }
  if (answer.ok || answer.status === 304) return answer;
  if (answer.status === 401 && await access.ask(key)) return send(method, path, { body, type, accept, seen, once, signal });
  const wait = Number(answer.headers.get('Retry-After'));
  throw new Problem(answer.status, await answer.json().catch(() => null), wait > 0 ? wait : null);
}

async function parsed(answer) {
  try { return await answer.json(); } catch { throw new Problem(answer.status, { detail: 'the answer of the service broke off' }); }
}

export const get = async (path, more) => parsed(await send('GET', path, more));
export const text = async (path, accept) => (await send('GET', path, { accept })).text();
export const blob = async (path, accept) => (await send('GET', path, { accept })).blob();
export const post = async (path, body, more) => parsed(await send('POST', path, { body, ...more }));
export const put = async (path, body, seen) => parsed(await send('PUT', path, { body, seen }));
export const remove = async (path, seen) => (await send('DELETE', path, { seen })).json().catch(() => null);

/** What a recipe comes to: a form, plain text, or JSON-LD; perhaps by an `earlier` state of the kitchen. */
export async function preview(body, more) {
  const answer = await send('POST', '/recipes/preview?ledger=true&components=ENERC_KCAL,ENERC_KJ,PROCNT,FAT,CHOCDF,FIBTG', { body, ...more });
  return { ...await parsed(answer), earlier: answer.headers.has('Kitchen-Change') };
}

const foods = new Map();
/** A food with its composition and household measures; own foods are read anew. */
export function food(id) {
  if (!foods.has(id) || /^(own|recipe):/.test(id)) foods.set(id, get(`/foods/${encodeURIComponent(id)}`).catch(error => { foods.delete(id); throw error; }));
  return foods.get(id);
}

/** Every page of a list. */
export async function all(path, name) {
  const found = [];
  for (let next = path; next;) {
    const answer = await send('GET', next);
    found.push(...(await parsed(answer))[name]);
    next = /<\/v1([^>]+)>; rel="next"/.exec(answer.headers.get('Link') ?? '')?.[1];
    if (found.length >= 1000) break;
  }
  return found;
}
