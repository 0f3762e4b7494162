// SPDX-License-Identifier: GPL-3.0-or-later
// Keeps the page's own files, so that it opens while the server is away.
// The server comes first, so nobody sees an old page; what goes to /api/ is
// never kept.
export {};
const worker = self as unknown as ServiceWorkerGlobalScope;

const CACHE = `leatherhard-${BUILT_HASH}`;

worker.addEventListener('install', (e) => {
  e.waitUntil(
    caches
      .open(CACHE)
      .then((c) => c.addAll(['./', ...BUILT_FILES]))
      .then(() => worker.skipWaiting()),
  );
});

worker.addEventListener('activate', (e) => {
  e.waitUntil(
    caches
      .keys()
      .then((all) =>
        Promise.all(
          all
            .filter((k) => k.startsWith('leatherhard-') && k !== CACHE)
            .map((k) => caches.delete(k)),
        ),
      )
      .then(() => worker.clients.claim()),
  );
});

worker.addEventListener('fetch', (e) => {
  const url = new URL(e.request.url);
  const scope = new URL(worker.registration.scope);
  const path = url.pathname.slice(scope.pathname.length);
  if (e.request.method !== 'GET' || url.origin !== scope.origin) return;
  if (path.startsWith('api/') || e.request.headers.has('range')) return;
  const here = path === '' || BUILT_FILES.includes(path);
  if (!here) return;
  e.respondWith(
    fetch(e.request).catch(async () => {
      const c = await caches.open(CACHE);
      const kept = await c.match(path === '' ? './' : path);
      return kept ?? Response.error();
    }),
  );
});
