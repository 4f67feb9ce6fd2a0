// Keeps the day sheets that were looked at, with style and script, for rooms
// without a network. What the server answers always goes first.
"use strict";
const shelf = "potlife-1";
const fixed = ["/static/style.css", "/static/record.js", "/static/paper.js", "/static/icon.svg"];

self.addEventListener("install", (event) => {
  // What is sent goes to the network by itself: a report waits for no worker to wake.
  event.addRoutes?.([{ condition: { requestMethod: "POST" }, source: "network" }])?.catch?.(() => {});
  event.waitUntil(caches.open(shelf).then((c) => c.addAll(fixed)).then(() => self.skipWaiting()));
});
self.addEventListener("activate", (event) => {
  event.waitUntil(caches.keys().then((names) => Promise.all(names.filter((n) => n !== shelf).map((n) => caches.delete(n)))).then(() => self.clients.claim()));
});

const kept = (url) => url.origin === self.location.origin && (url.pathname.startsWith("/static/") || url.pathname === "/sheets" || url.pathname.startsWith("/sheets/") || url.pathname.startsWith("/surfaces/"));

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || !kept(url)) return;
  event.respondWith(answer(event.request));
});

self.addEventListener("message", (event) => {
  event.waitUntil(self.clients.claim().then(async () => {
    const url = new URL(event.data.keep, self.location.origin);
    if (!kept(url)) return;
    const page = await fetch(url, { credentials: "same-origin" });
    if (page.ok && !page.redirected) await (await caches.open(shelf)).put(url.href, page);
  }));
});

async function answer(request) {
  const c = await caches.open(shelf);
  try {
    const fresh = await fetch(request);
    if (fresh.ok && !fresh.redirected) c.put(request, fresh.clone());
    return fresh;
  } catch (failure) {
    const old = await c.match(request, { ignoreVary: true });
    if (old) return old;
    throw failure;
  }
}
