// Runs before anything is drawn, in any browser, so it keeps to old syntax.
//
// To the page:  window.lessdinBuild    the build, "development" outside a release
//               window.lessdinOffline  "pending", "ready" or "no-service-worker"; event lessdin-offline when it changes
//               window.lessdinUpdate   true once a newer build is waiting; event lessdin-update
// From the page: event lessdin-take-update  change over to the newer build and reload
//                event lessdin-panic        detail: what went wrong; shows it with a way on
(function () {
  'use strict';
  var root = document.documentElement;
  var build = document.querySelector('meta[name="lessdin-build"]').content;

  function tell(name, detail) {
    window.dispatchEvent(new CustomEvent(name, { detail: detail }));
  }

  // ---- light and dark, before the first paint

  try {
    var theme = localStorage.getItem('lessdin.theme');
    if (theme === 'light' || theme === 'dark') root.dataset.theme = theme;
  } catch (refused) { /* no storage: the system decides */ }

  // The browser's own bar: one colour for each of light and dark, both the same when the reader has chosen.
  var bars = document.querySelectorAll('meta[name="theme-color"]');
  var grounds = { light: bars[0].content, dark: bars[1].content };
  function colourTheBrowser() {
    bars[0].content = grounds[root.dataset.theme] || grounds.light;
    bars[1].content = grounds[root.dataset.theme] || grounds.dark;
  }
  colourTheBrowser();
  new MutationObserver(colourTheBrowser).observe(root, { attributes: true, attributeFilter: ['data-theme'] });

  // ---- when it goes wrong

  var shown = false;
  var report = '';

  function recentCrashes() {
    try {
      return JSON.parse(sessionStorage.getItem('lessdin.crashes') || '[]').filter(function (at) {
        return Date.now() - at < 60000;
      });
    } catch (refused) {
      return [];
    }
  }

  function show(kind, detail) {
    if (!document.body) {
      return document.addEventListener('DOMContentLoaded', function () { show(kind, detail); });
    }
    if (shown) return;
    shown = true;
    report = ['Lessdin ' + build, navigator.userAgent, detail || ''].join('\n');
    var starting = document.getElementById('starting');
    if (starting) starting.hidden = true;
    document.querySelector('[data-trouble="' + kind + '"]').hidden = false;
    if (detail) {
      var box = document.getElementById('trouble-detail');
      box.textContent = detail;
      box.hidden = false;
      document.getElementById('trouble-copy').hidden = !(navigator.clipboard && navigator.clipboard.writeText);
    }
    document.getElementById('trouble').hidden = false;
    document.getElementById('trouble-reload').onclick = function () { location.reload(); };
    document.getElementById('trouble-copy').onclick = function () { navigator.clipboard.writeText(report); };
    document.getElementById('trouble-aside').onclick = setAside;
    window.scrollTo(0, 0);
  }
  window.lessdinTrouble = show;

  // The second crash within a minute offers to leave behind what may cause it.
  function crashed(detail) {
    if (shown) return;
    var times = recentCrashes();
    times.push(Date.now());
    try { sessionStorage.setItem('lessdin.crashes', JSON.stringify(times)); } catch (refused) { /* then no guard */ }
    show(times.length > 1 ? 'loop' : 'crash', detail);
  }

  function setAside() {
    try {
      var stamp = 'lessdin.aside.' + Date.now() + '.';
      Object.keys(localStorage).forEach(function (key) {
        if (key.indexOf('lessdin.') !== 0 || key === 'lessdin.theme' || key.indexOf('lessdin.aside.') === 0) return;
        localStorage.setItem(stamp + key, localStorage.getItem(key));
        localStorage.removeItem(key);
      });
      sessionStorage.removeItem('lessdin.crashes');
    } catch (refused) { /* full or refused: at least the link is left behind */ }
    history.pushState(null, '', location.pathname + location.search);
    location.reload();
  }

  window.addEventListener('lessdin-panic', function (event) { crashed(String(event.detail || '')); });
  function fromWasm(problem) {
    return typeof WebAssembly !== 'undefined' && problem instanceof WebAssembly.RuntimeError;
  }
  window.lessdinFailed = function (problem) {
    var words = String((problem && problem.message) || problem);
    if (fromWasm(problem)) crashed(words);
    else show('part', words);
  };
  window.addEventListener('error', function (event) {
    // A script of our own that did not load has no message.
    if (event.target && event.target.tagName === 'SCRIPT') show('part', event.target.getAttribute('src'));
    else if (fromWasm(event.error)) crashed(String(event.error.message));
    else if (event.error instanceof SyntaxError && !window.lessdinStarted) show('old', event.message);
  }, true);
  window.addEventListener('unhandledrejection', function (event) {
    if (fromWasm(event.reason)) crashed(String(event.reason.message));
  });

  // ---- working with the network off, and newer builds

  var waiting = null;
  var asked = false;

  window.lessdinBuild = build;
  window.lessdinUpdate = false;
  window.lessdinOffline = 'pending';

  function offline(state) {
    if (window.lessdinOffline === state) return;
    window.lessdinOffline = state;
    tell('lessdin-offline', state);
  }

  function offer(worker) {
    waiting = worker;
    window.lessdinUpdate = true;
    tell('lessdin-update');
  }

  function follow(registration, worker) {
    if (!worker) return;
    worker.addEventListener('statechange', function () {
      if (worker.state === 'installed' && registration.active) offer(worker);
      if (worker.state === 'activated') offline('ready');
    });
  }

  window.addEventListener('lessdin-take-update', function () {
    asked = true;
    if (waiting) waiting.postMessage('take over');
    else location.reload();
  });

  if (!('serviceWorker' in navigator) || build === 'development') {
    offline('no-service-worker');
    return;
  }
  var controlled = !!navigator.serviceWorker.controller;
  navigator.serviceWorker.addEventListener('controllerchange', function () {
    if (asked) {
      asked = false;
      location.reload();
    } else if (controlled) {
      // Another tab changed over. This one still shows the older build: its turn when the reader says so.
      offer(null);
    }
    controlled = true;
  });
  window.addEventListener('load', function () {
    navigator.serviceWorker.register('./sw.js', { updateViaCache: 'none' }).then(function (registration) {
      var looked = Date.now();
      if (registration.active) offline('ready');
      if (registration.active && registration.waiting) offer(registration.waiting);
      follow(registration, registration.installing);
      registration.addEventListener('updatefound', function () { follow(registration, registration.installing); });
      document.addEventListener('visibilitychange', function () {
        if (document.hidden || Date.now() - looked < 3600000) return;
        looked = Date.now();
        registration.update().catch(function () { /* no network: the next hour will do */ });
      });
    }, function () { offline('no-service-worker'); });
  });
})();
