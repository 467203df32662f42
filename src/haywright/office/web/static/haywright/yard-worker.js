/* Without a signal, pages kept on this phone open from it; with one, the office answers. */
"use strict";

const SHELF = "haywright-yard";
const PATIENCE_MS = 5000;
const YARD = "/yard/";

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

const held = (request) => caches.match(request, { cacheName: SHELF, ignoreVary: true });

/* The office, for as long as patience lasts when the page is at hand; then the page kept. */
async function answered(request) {
  const own = (await held(request)) || (request.mode === "navigate" ? await held(YARD) : undefined);
  if (!own) return fetch(request);
  const late = new Promise((done) => setTimeout(() => done(own), PATIENCE_MS));
  return Promise.race([fetch(request), late]).catch(() => own);
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const still = new URL(request.url).pathname.startsWith("/static/");
  const plain = request.method === "GET" && !request.headers.has("X-Shelve");
  if (plain && (request.mode === "navigate" || still)) event.respondWith(answered(request));
});
