// Keeps the page itself at hand, so that it opens without a connection; never an answer of /v1.
const SHELF = 'gramwright-page';

self.addEventListener('install', () => self.skipWaiting());
self.addEventListener('activate', event => event.waitUntil(self.clients.claim()));
self.addEventListener('fetch', event => {
  const { pathname, origin } = new URL(event.request.url);
  if (event.request.method !== 'GET' || origin !== location.origin || !(pathname === '/' || pathname.startsWith('/page/'))) return;
  event.respondWith(fresh(event));
});

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
