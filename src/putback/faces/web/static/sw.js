// One idea: the bay page is kept whole on the phone, so it opens with the server gone.
const KEPT = "putback VERSION";
const SHELL = ["/bay", FILES];
async function keep() {
  const kept = await caches.open(KEPT);
  await kept.addAll(SHELL.map((at) => new Request(at, { cache: "reload" })));
  skipWaiting();
}
async function clean() {
  for (const name of await caches.keys()) if (name !== KEPT) await caches.delete(name);
  clients.claim();
}
oninstall = (event) => event.waitUntil(keep());
onactivate = (event) => event.waitUntil(clean());
onfetch = (event) => {
  const { pathname } = new URL(event.request.url);
  if (event.request.method === "GET" && SHELL.includes(pathname))
    event.respondWith(caches.match(pathname, { cacheName: KEPT }).then((kept) => kept ?? fetch(event.request)));
};
