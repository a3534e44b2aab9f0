// Stands before the field form: the page from the server where it answers, else as it was kept on the device.
"use strict";

const KEPT = "longhold-field";
const PATIENCE_MS = 5000;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const path = new URL(request.url).pathname;
  if (request.method !== "GET") return;
  if (request.mode === "navigate") event.respondWith(page(request));
  else if (path.startsWith("/static/")) event.respondWith(file(request));
});

async function page(request) {
  const given = fetch(request);
  given.catch(() => {});
  const late = new Promise((_, refuse) => setTimeout(refuse, PATIENCE_MS));
  try {
    return await Promise.race([given, late]);
  } catch {
    const cache = await caches.open(KEPT);
    const kept = (await cache.match(request.url)) ?? (await cache.match(request.url, { ignoreSearch: true }));
    return kept ?? given;
  }
}

async function file(request) {
  const cache = await caches.open(KEPT);
  return (await cache.match(request.url)) ?? fetch(request);
}
