// Opens the phone's screens without the network, as they were last. Only where the browser allows it: https.
const CACHE = "phone-1";
const mine = (url) => /^\/(static|mixer|crew)\//.test(url.pathname) && !url.pathname.endsWith("/entries");

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin || !mine(url)) return;
  event.respondWith(fresh(event.request));
});

async function fresh(request) {
  const cache = await caches.open(CACHE);
  try {
    const reply = await fetch(request);
    if (reply.ok && !reply.redirected) await cache.put(request, reply.clone());
    return reply;
  } catch (error) {
    const kept = await cache.match(request);
    if (kept) return kept;
    throw error;
  }
}
