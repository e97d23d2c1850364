// Opens the phone's screens without the network, as they were last. Only where the browser allows it: https.
// A screen is kept once all scripts that it names are kept, so that one of an older program never meets those of a newer.
const CACHE = "phone-1";
const PATIENCE = 4000; // for a network that is there and brings nothing
const FILES = /\/static\/[0-9a-f]+\/[\w.-]+/g;
const isFile = (path) => path.startsWith("/static/");
const mine = ({ pathname }) => isFile(pathname) || (/^\/(mixer|crew)\//.test(pathname) && !pathname.endsWith("/entries"));

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim().then(tidied)));
self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin || !mine(url)) return;
  event.respondWith(isFile(url.pathname) ? file(event.request) : shown(event));
});

// A file never changes at its address.
async function file(request) {
  const cache = await caches.open(CACHE);
  const held = await cache.match(request);
  if (held) return held;
  const reply = await fetch(request);
  if (reply.ok) await cache.put(request, reply.clone());
  return reply;
}

async function shown(event) {
  const cache = await caches.open(CACHE), { request } = event;
  const coming = fetch(request).then((reply) => {
    if (reply.ok && !reply.redirected) event.waitUntil(keep(cache, request, reply.clone()));
    return reply;
  });
  const late = new Promise((resolve) => { setTimeout(resolve, PATIENCE); });
  const first = await Promise.race([coming, late]).catch(() => null);
  if (first) return first;
  // a label's address ends in its revision: the page itself says whether that is the one it shows
  return (await cache.match(request)) || (await cache.match(request, { ignoreSearch: true })) || coming;
}

// A screen takes the place of the one before only with its files; else that one stays, with its own.
async function keep(cache, request, reply) {
  const again = reply.clone(), named = new Set((await reply.text()).match(FILES));
  try {
    for (const path of named) if (!(await file(new Request(path))).ok) return;
    await cache.put(request, again);
  } catch { /* the network went */ }
}

// Files that no screen names any more.
async function tidied() {
  const cache = await caches.open(CACHE), keys = await cache.keys(), named = new Set();
  const path = ({ url }) => new URL(url).pathname;
  for (const key of keys.filter((each) => !isFile(path(each))))
    for (const name of (await (await cache.match(key)).text()).match(/\/static\/[\w./-]+/g) ?? []) named.add(name);
  for (const key of keys) if (path(key).match(FILES) && !named.has(path(key))) await cache.delete(key);
}
