// Focus, copying, and saying when the program is gone: nothing is computed here.
(() => {
  'use strict';
  if (window.Idiomorph) Idiomorph.defaults.ignoreActiveValue = true;
  const lost = () => document.getElementById('lost');
  let waiting = 0;
  const ask = () => fetch('/health', {cache: 'no-store'}).then(r => {
    if (!r.ok) return;
    lost().hidden = true;
    clearInterval(waiting);
    waiting = 0;
    for (const box of document.querySelectorAll('[data-unsaved]')) {
      box.removeAttribute('data-unsaved');
      htmx.trigger(box, 'change');
    }
  }).catch(() => {});
  document.addEventListener('htmx:sendError', e => {
    const box = e.detail.elt;
    if (box && box.matches('input, select')) box.setAttribute('data-unsaved', '');
    lost().hidden = false;
    if (!waiting) waiting = setInterval(ask, 1500);
  });
  document.addEventListener('click', e => {
    const copy = e.target.closest('[data-copy]');
    if (copy) {
      const text = document.getElementById(copy.dataset.copy);
      navigator.clipboard.writeText(text.value).then(
        () => { document.getElementById('said').textContent = 'Copied.'; },
        () => { text.select(); });
      return;
    }
    const mark = e.target.closest('svg [data-key]');
    if (!mark) return;
    const key = mark.dataset.key;
    const boxes = [...document.querySelectorAll('[data-key]:is(input, select)')];
    const box = boxes.find(b => b.dataset.key === key) ||
      boxes.find(b => b.dataset.key.startsWith(key + '.'));
    if (!box) {
      const way = location.pathname.split('/');
      if (way[3] === 'pen') location.href = `/pens/${way[2]}/joints#${encodeURIComponent('f-' + key.replaceAll('.', '-'))}`;
      return;
    }
    for (let d = box.closest('details'); d; d = d.parentElement.closest('details')) d.open = true;
    box.focus();
    box.select?.();
  });
  const here = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (here && here.matches('input, select')) {
    for (let d = here.closest('details'); d; d = d.parentElement.closest('details')) d.open = true;
    here.focus();
  }
})();
