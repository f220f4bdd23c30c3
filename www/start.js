// Fetches the page proper and starts it. What fails on the way is said in words by boot.js.
const here = document.querySelector('script[data-wasm]');

// A module that copies memory and extends signs: what rustc takes for granted.
const needed = new Uint8Array([
  0, 97, 115, 109, 1, 0, 0, 0, 1, 4, 1, 96, 0, 0, 3, 2, 1, 0, 5, 3, 1, 0, 1, 10, 18, 1, 16, 0, 65, 0, 65, 0, 65, 0, 252, 10,
  0, 0, 65, 0, 192, 26, 11,
]);

if (typeof WebAssembly === 'undefined' || !WebAssembly.validate(needed)) {
  window.lessdinTrouble('old');
} else {
  const start = (js, wasm) => import(new URL(js, document.baseURI)).then((program) => program.default({ module_or_path: new URL(wasm, document.baseURI) }));
  // The start page is a small program of its own, so that an answer stands before the sheets have arrived; the whole page
  // takes its place when it asks for a sheet.
  let whole = null;
  const all = () => (whole ??= start(here.dataset.js, here.dataset.wasm));
  window.addEventListener('lessdin-all', () => {
    window.lessdinTakesOver = true;
    all().catch(window.lessdinFailed);
  });
  const home = /^#?\/?$/.test(location.hash);
  (home ? start('./first.js', './first_bg.wasm') : all()).then(() => {
    window.lessdinStarted = true;
    // Without a service worker nothing else fetches the rest ahead.
    if (home && !('serviceWorker' in navigator)) {
      for (const part of [here.dataset.js, here.dataset.wasm]) fetch(new URL(part, document.baseURI)).catch(() => {});
    }
  }, window.lessdinFailed);
}
