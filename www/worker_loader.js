// Starts a worker with the way to any network closed. Its one file is asked for first; after that nothing can be. Which worker it
// is stands in its name: the one for longer calculations, or the one for logs.
self.lessdinBuild = 'development';
const program = fetch(new URL(`./${self.name || 'worker'}_bg.wasm`, self.location));
importScripts(`./${self.name || 'worker'}.js`);
const closed = [
  'fetch', 'XMLHttpRequest', 'WebSocket', 'WebSocketStream', 'WebTransport', 'EventSource', 'importScripts', 'Worker',
  'SharedWorker', 'caches', 'BackgroundFetchManager',
];
for (let holder = self; holder; holder = Object.getPrototypeOf(holder)) {
  for (const name of closed) {
    if (Object.hasOwn(holder, name)) Object.defineProperty(holder, name, { value: undefined, writable: false, configurable: false });
  }
}
// Thrown outside the promise, so the page hears of it.
wasm_bindgen({ module_or_path: program }).catch((problem) => setTimeout(() => { throw problem; }));
