// Starts the worker for logs with the way to any network closed. Its one file is asked for first; after that nothing can be.
self.lessdinBuild = 'development';
const program = fetch(new URL('./logs_bg.wasm', self.location));
importScripts('./logs.js');
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
