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
  // The page is several programs. The one for the start page is small, so that an answer stands before the others have arrived.
  // Each of the others carries some of the sheets and takes the page over when it is asked for one of them.
  const files = {
    first: ['./first.js', './first_bg.wasm'],
    app: [here.dataset.js, here.dataset.wasm],
    check: ['./check.js', './check_bg.wasm'],
    moves: ['./moves.js', './moves_bg.wasm'],
  };
  const carriers = { runs: 'check', enough: 'check', steps: 'moves' };
  const loaded = {};
  let wanted = '';
  const show = async (name) => {
    // The larger program has the start page too.
    wanted = name === 'first' && loaded.app ? 'app' : name;
    const program = wanted;
    const [js, wasm] = files[program].map((file) => new URL(file, document.baseURI));
    loaded[program] ??= import(js).then((module) => module.default({ module_or_path: wasm }));
    await loaded[program];
    if (program === wanted) window.dispatchEvent(new CustomEvent('lessdin-show', { detail: program }));
  };
  window.addEventListener('lessdin-program', (event) => {
    window.lessdinTakesOver = true;
    show(event.detail).catch(window.lessdinFailed);
  });
  const asked = location.hash.match(/^#?\/?([\w-]*)/)[1];
  show(asked ? carriers[asked] ?? 'app' : 'first').then(() => {
    window.lessdinStarted = true;
    // Without a service worker nothing else fetches the rest ahead.
    if (!('serviceWorker' in navigator)) for (const file of Object.values(files).flat()) fetch(new URL(file, document.baseURI)).catch(() => {});
  }, window.lessdinFailed);
}
