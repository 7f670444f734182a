// One idea: the bay page is kept whole on the phone, so it opens with the server gone.
const KEPT = "putback VERSION";
const SHELL = ["/bay", FILES];
self.addEventListener("install", (event) => {
  const fresh = SHELL.map((at) => new Request(at, { cache: "reload" }));
  event.waitUntil(caches.open(KEPT).then((kept) => kept.addAll(fresh)).then(() => self.skipWaiting()));
});
self.addEventListener("activate", (event) => {
  const old = (names) => Promise.all(names.filter((name) => name !== KEPT).map((name) => caches.delete(name)));
  event.waitUntil(caches.keys().then(old).then(() => self.clients.claim()));
});
self.addEventListener("fetch", (event) => {
  const { pathname } = new URL(event.request.url);
  if (event.request.method === "GET" && SHELL.includes(pathname))
    event.respondWith(caches.match(pathname, { cacheName: KEPT }).then((kept) => kept ?? fetch(event.request)));
});
