// Keeps one whole build on the device and answers from it alone, so old and new are never mixed.
// The two lines below are written when the site is built; outside a release the list is empty and nothing is kept.
const BUILD = 'development';
const FILES = [];

const CACHE = `lessdin-${BUILD}`;
const BASE = new URL('./', self.location);
const SHELL = new URL('index.html', BASE).href;
const listed = new Map(FILES.map(([name, hash]) => [new URL(name, BASE).href, hash]));

// The policy of a page does not bind a worker that comes from an address: its own answer must carry one.
const SCRIPT_POLICY = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'";

async function fetched(address) {
  const answer = await fetch(address, { cache: 'reload', credentials: 'same-origin', integrity: listed.get(address) });
  if (!answer.ok) throw new Error(`${answer.status} for ${address}`);
  const headers = new Headers({ 'Content-Type': answer.headers.get('Content-Type') || 'application/octet-stream' });
  if (address.endsWith('.js')) headers.set('Content-Security-Policy', SCRIPT_POLICY);
  return new Response(await answer.arrayBuffer(), { headers });
}

// All or nothing: one file that does not fit its hash and this build is not installed.
async function keepAll() {
  const answers = await Promise.all([...listed.keys()].map(async (address) => [address, await fetched(address)]));
  const cache = await caches.open(CACHE);
  await Promise.all(answers.map(([address, answer]) => cache.put(address, answer)));
}

async function forgetOlder() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith('lessdin-') && name !== CACHE).map((name) => caches.delete(name)));
  await self.clients.claim();
}

// The file a request stands for, if any. A page anywhere else below this folder is sent to the one page there is.
function addressOf(request) {
  const url = new URL(request.url);
  url.search = '';
  url.hash = '';
  return url.href === BASE.href ? SHELL : url.href;
}

async function answer(address) {
  const cache = await caches.open(CACHE);
  const kept = await cache.match(address);
  if (kept) return kept;
  // The browser dropped it: the same file, by its hash, or none.
  const again = await fetched(address);
  await cache.put(address, again.clone());
  return again;
}

self.addEventListener('install', (event) => event.waitUntil(keepAll()));
self.addEventListener('activate', (event) => event.waitUntil(forgetOlder()));
self.addEventListener('message', (event) => {
  if (event.data === 'take over') self.skipWaiting();
});
self.addEventListener('fetch', (event) => {
  const { request } = event;
  if (listed.size === 0) return;
  if (new URL(request.url).origin !== self.location.origin) return event.respondWith(Response.error());
  if (request.method !== 'GET') return;
  const address = addressOf(request);
  if (listed.has(address)) event.respondWith(answer(address));
  else if (request.mode === 'navigate') event.respondWith(Response.redirect(BASE.href));
  else event.respondWith(new Response('Not part of this build.', { status: 404 }));
});
