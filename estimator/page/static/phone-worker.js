// Opens the phone's screens without the network, as they were last. Only where the browser allows it: https.
const CACHE = "phone-1";
const PATIENCE = 4000; // for a network that is there and brings nothing
const mine = (url) => /^\/(static|mixer|crew)\//.test(url.pathname) && !url.pathname.endsWith("/entries");

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin || !mine(url)) return;
  event.respondWith(shown(event.request));
});

async function shown(request) {
  const cache = await caches.open(CACHE);
  const coming = fresh(request, cache);
  const late = new Promise((resolve) => { setTimeout(resolve, PATIENCE); });
  const first = await Promise.race([coming, late]).catch(() => null);
  if (first) return first;
  // a label's address ends in its revision: the page itself says whether that is the one it shows
  return (await cache.match(request)) || (await cache.match(request, { ignoreSearch: true })) || coming;
}

async function fresh(request, cache) {
  const reply = await fetch(request);
  if (reply.ok && !reply.redirected) await cache.put(request, reply.clone());
  return reply;
}
