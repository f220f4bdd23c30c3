// Notes, from inside the page, when it can be used and what a key press costs. Runs before the page's own scripts.
(() => {
  const probe = { keys: [] };
  window.lessdinProbe = probe;

  // After the main thread has drawn up the next frame: layout and paint are done, raster goes on elsewhere.
  const painted = () => new Promise((then) => {
    requestAnimationFrame(() => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => then(performance.now());
      port2.postMessage(0);
    });
  });

  // A deep link is usable when its answer stands; home, when two readings can be typed and lead to one.
  probe.usable = new Promise((then) => {
    let typed = false;
    const look = () => {
      const first = document.getElementById('f-on');
      if (!typed && first && document.querySelector('main.home')) {
        typed = true;
        const write = (field, text) => {
          field.value = text;
          field.dispatchEvent(new InputEvent('input', { bubbles: true }));
        };
        write(first, '46.1');
        write(document.getElementById('f-off'), '44.9');
      }
      const answer = document.querySelector('#answer:not(.waiting) p');
      if (answer && answer.textContent) {
        watch.disconnect();
        painted().then(then);
      }
    };
    const watch = new MutationObserver(look);
    watch.observe(document, { subtree: true, childList: true, attributes: true, attributeFilter: ['class'] });
  });

  // A fixed piece of work, to see what a throttle does: the middle one of seven, after a warm-up.
  probe.loop = () => {
    const times = [];
    for (let run = 0; run < 9; run += 1) {
      const begun = performance.now();
      let x = 1;
      for (let i = 0; i < 5e6; i += 1) x = (x * 1103515245 + 12345) & 0x7fffffff;
      times.push(performance.now() - begun + (x === -1 ? 1 : 0));
    }
    return times.slice(2).sort((a, b) => a - b)[3];
  };

  // Puts the cursor at the end of the middle one of the number fields that are filled and in sight.
  probe.field = () => {
    const fields = [...document.querySelectorAll('form.inputs input[inputmode=decimal]')];
    const filled = fields.filter((field) => field.value && field.getClientRects().length);
    const field = filled[Math.floor(filled.length / 2)];
    if (!field) return null;
    field.scrollIntoView({ block: 'center' });
    field.focus();
    field.setSelectionRange(field.value.length, field.value.length);
    return field.id;
  };

  // The page's listeners lie between these two, and so does everything they put off until they have returned.
  let now = null;
  addEventListener('keydown', (event) => {
    if (!event.isTrusted || event.repeat) return;
    now = { begun: performance.now() };
    probe.keys.push(now);
    const key = now;
    key.done = painted().then((at) => { key.painted = at - event.timeStamp; });
  }, true);
  addEventListener('input', () => {
    if (now) now.script = performance.now() - now.begun;
  });

  probe.rested = async () => {
    const last = probe.keys[probe.keys.length - 1];
    if (last) await last.done;
    // A quick typist: eight keys a second.
    await new Promise((then) => setTimeout(then, 120));
    return true;
  };
})();
