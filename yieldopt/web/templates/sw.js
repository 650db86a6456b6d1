// Keeps the page itself on the phone. What the rack says is kept by the page, not here; sheets once
// seen stay too. What is served begins with BUILD, a name for the page as it is now, and PAGE, its
// addresses.
/* global BUILD, PAGE */
const KEPT = `page-${BUILD}`,
  SHEETS = "sheets";
const A_SHEET = /^\/api\/bench\/\d+\/sheets\//;

/** Every file anew, past what the browser remembers of an older page; all of them or none. */
async function install() {
  const kept = await caches.open(KEPT);
  await kept.addAll(PAGE.map(address => new Request(address, {cache: "reload"})));
  await self.skipWaiting();
}

/** The page as it was before goes. */
async function activate() {
  const old = (await caches.keys()).filter(k => k !== KEPT && k !== SHEETS);
  await Promise.all(old.map(k => caches.delete(k)));
  await self.clients.claim();
}

/** A sheet as the rack has it now, or as it was seen last. */
async function sheet(request) {
  try {
    const answer = await fetch(request);
    if (answer.ok) {
      const kept = await caches.open(SHEETS);
      await kept.delete(request, {ignoreSearch: true});
      await kept.put(request, answer.clone());
    }
    return answer;
  } catch {
    return (await caches.match(request)) ?? Response.error();
  }
}

async function page(request) {
  const wanted = request.mode === "navigate" ? "/" : request;
  return (await caches.match(wanted, {ignoreSearch: true})) ?? fetch(request);
}

addEventListener("install", e => e.waitUntil(install()));
addEventListener("activate", e => e.waitUntil(activate()));
addEventListener("fetch", e => {
  const {request} = e,
    url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  if (A_SHEET.test(url.pathname)) e.respondWith(sheet(request));
  else if (!url.pathname.startsWith("/api/")) e.respondWith(page(request));
});
