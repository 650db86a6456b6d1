// Keeps the page itself on the phone. What the rack says is kept by the page, not here; sheets once seen stay too.
const BUILD = "page-{{ build }}", SHEETS = "sheets";
const PAGE = ["/", "/manifest.webmanifest"{% for name in names %}, "/static/{{ name }}"{% endfor %}];
addEventListener("install", e => e.waitUntil(caches.open(BUILD).then(c => c.addAll(PAGE.map(u => new Request(u, {cache: "reload"}))))
  .then(() => self.skipWaiting())));
addEventListener("activate", e => e.waitUntil(caches.keys()
  .then(keys => Promise.all(keys.filter(k => k !== BUILD && k !== SHEETS).map(k => caches.delete(k)))).then(() => clients.claim())));
addEventListener("fetch", e => {
  const url = new URL(e.request.url);
  if (e.request.method !== "GET" || url.origin !== location.origin) return;
  if (/^\/api\/bench\/\d+\/sheets\//.test(url.pathname)) {
    e.respondWith(fetch(e.request).then(async r => { if (r.ok) { const c = await caches.open(SHEETS); await c.delete(e.request, {ignoreSearch: true}); await c.put(e.request, r.clone()); } return r; })
      .catch(async () => (await caches.match(e.request)) || Response.error()));
  } else if (!url.pathname.startsWith("/api/")) {
    e.respondWith(caches.match(e.request.mode === "navigate" ? "/" : e.request, {ignoreSearch: true})
      .then(r => r || fetch(e.request)));
  }
});
