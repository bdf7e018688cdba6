// Keeps the files of this web space, so that the page works without a network; a new version takes the place of the old
// one when the page is opened again.
'use strict';
const KEPT = 'hillwash VERSION';
const FILES = ['./', 'hillwash.core', 'icon.svg', 'manifest.webmanifest'];

self.addEventListener('install', (event) => {
  event.waitUntil(caches.open(KEPT).then((kept) => kept.addAll(FILES.map((name) => new Request(name, { cache: 'reload' })))));
});
self.addEventListener('activate', (event) => {
  event.waitUntil(caches.keys().then((all) => Promise.all(all.filter((name) => name.startsWith('hillwash ') && name !== KEPT).map((name) => caches.delete(name)))));
});
self.addEventListener('fetch', (event) => {
  if (event.request.method !== 'GET') return;
  event.respondWith(caches.match(event.request, { ignoreSearch: true }).then((kept) => kept ?? fetch(event.request)));
});
