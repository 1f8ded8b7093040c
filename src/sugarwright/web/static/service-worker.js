// Opening and reloading without a line, where browsers allow it (HTTPS, this computer itself).
// Files of this version are kept; a page that does not come is answered by a frame, in which the
// page as this phone kept it is shown. What was said to the logbook goes by the outbox, not by this.

/* global FILES, VERSION, FRAME */

const NAME = `sugarwright-${VERSION}`;
const PATIENCE_MS = 6000;

async function keepFiles() {
  const cache = await caches.open(NAME);
  for (const address of [...FILES, FRAME]) {
    const cached = address === FRAME ? "no-store" : "default";
    const answer = await fetch(address, { cache: cached, signal: AbortSignal.timeout(PATIENCE_MS) });
    if (!answer.ok || answer.redirected) throw new Error(`${address} did not come`); // signed out: another time
    await cache.put(address, answer);
  }
}

/** Drop the files of other versions. */
async function clean() {
  for (const name of await caches.keys()) {
    if (name.startsWith("sugarwright-") && name !== NAME) await caches.delete(name);
  }
  // @ts-ignore: the scope of a service worker
  await self.clients.claim();
}

/** @param {Request} request */
async function file(request) {
  const kept = new URL(request.url).search ? await caches.match(request) : undefined;
  if (kept) return kept; // its address holds a hash of its content
  try {
    return await fetch(request, { signal: AbortSignal.timeout(PATIENCE_MS) });
  } catch (problem) {
    const old = await caches.match(request, { ignoreSearch: true });
    if (old) return old;
    throw problem;
  }
}

/** @returns {Promise<never>} */
function givenUp() {
  return new Promise((_, reject) => setTimeout(() => reject(new Error("no answer")), PATIENCE_MS));
}

/** @param {Request} request */
async function page(request) {
  try {
    return await Promise.race([fetch(request), givenUp()]);
  } catch (problem) {
    const frame = await caches.match(FRAME);
    if (frame) return frame;
    throw problem;
  }
}

self.addEventListener("install", (/** @type {any} */ event) => {
  event.waitUntil(keepFiles());
  // @ts-ignore
  self.skipWaiting();
});
self.addEventListener("activate", (/** @type {any} */ event) => event.waitUntil(clean()));
self.addEventListener("fetch", (/** @type {any} */ event) => {
  const request = event.request;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(request));
  else if (address.pathname.startsWith("/static/")) event.respondWith(file(request));
});
