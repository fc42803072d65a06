// Keeps the page itself at hand, so that it opens without a connection; never an answer of /v1.
const SHELF = 'gramwright-page';

const isPage = ({ origin, pathname }) => origin === location.origin && (pathname === '/' || pathname.startsWith('/page/'));

self.addEventListener('install', () => self.skipWaiting());
self.addEventListener('activate', event => event.waitUntil(self.clients.claim()));
self.addEventListener('fetch', event => {
  if (event.request.method === 'GET' && isPage(new URL(event.request.url))) event.respondWith(fresh(event));
});
// A page tells what it loaded, as what came before this worker did not pass by it.
self.addEventListener('message', event => event.waitUntil(Promise.all(['/', ...event.data].map(shelve))));

/** What the service sends, kept beside; what was kept where it is silent. */
async function fresh(event) {
  const { request } = event, shelf = caches.open(SHELF);
  try {
    const answer = await fetch(request), copy = answer.clone();
    if (answer.ok) event.waitUntil(shelf.then(open => open.put(request, copy)));
    return answer;
  } catch (error) {
    const kept = await (await shelf).match(request, { ignoreSearch: true });
    if (kept) return kept;
    throw error;
  }
}

/** Keep what a page has loaded, as the browser has it already: nothing is asked of the service again. */
async function shelve(name) {
  const url = new URL(name, location), shelf = await caches.open(SHELF);
  if (!isPage(url) || await shelf.match(url)) return;
  const answer = await fetch(url, { cache: 'force-cache' }).catch(() => null);
  if (answer?.ok) await shelf.put(url, answer);
}
