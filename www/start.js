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
  import(new URL(here.dataset.js, document.baseURI))
    .then((page) => page.default({ module_or_path: new URL(here.dataset.wasm, document.baseURI) }))
    .then(() => { window.lessdinStarted = true; }, window.lessdinFailed);
}
