// A size of the drawing is dragged, or stepped by the arrow keys in its box: either way it is the
// box that changes, as if it had been typed, and the program draws what stands there.
(() => {
  'use strict';
  const PLAIN = /^(\d*[.,]?\d+)\s*(mm|in)?$/;
  const box = key => [...document.querySelectorAll('input[data-key]')].find(b => b.dataset.key === key);
  const read = b => {
    const m = PLAIN.exec(b.value.trim() || b.dataset.taken || '');
    return m && {value: parseFloat(m[1].replace(',', '.')), unit: m[2] || '', mm: m[2] === 'in' ? 25.4 : 1};
  };
  const write = (b, value, step, was) => {
    const places = step < 0.1 ? 2 : step < 1 ? 1 : 0;
    const near = Math.max(step, Math.round(value / step) * step);
    const text = String(parseFloat(near.toFixed(Math.max(places, was.unit === 'in' ? 2 : 0)))) +
      (was.unit && ` ${was.unit}`);
    if (text === b.value) return;
    b.value = text;
    b.dispatchEvent(new Event('input', {bubbles: true}));
  };
  const stepOf = (e, was) => (e.shiftKey ? 1 : e.altKey ? 0.01 : 0.1) / (was.unit === 'in' ? 10 : 1);

  document.addEventListener('keydown', e => {
    const b = e.target;
    if (!['ArrowUp', 'ArrowDown'].includes(e.key) || !b.matches?.('.size input[data-key]')) return;
    const was = read(b);
    if (!was) return;
    e.preventDefault();
    const step = stepOf(e, was);
    write(b, was.value + (e.key === 'ArrowUp' ? step : -step), step, was);
  });

  let held = null;
  document.addEventListener('pointerdown', e => {
    const mark = e.target.closest('.pen-drawing .dimension[data-key], .pen-drawing .wall[data-key]');
    if (!mark || e.button) return;
    const b = box(mark.dataset.key), was = b && read(b);
    if (!was) return;
    const svg = mark.ownerSVGElement, at = mark.getBoundingClientRect();
    const mm = 1 / svg.getScreenCTM().a / parseFloat(svg.dataset.scale);
    const along = !mark.dataset.key.endsWith('diameter');
    const way = along && e.clientX < (at.left + at.right) / 2 ? -1 : 1;
    held = {b, was, along, mm: (along ? way : 2) * mm / was.mm, x: e.clientX, y: e.clientY, far: false, sent: 0, id: e.pointerId};
  });
  document.addEventListener('pointermove', e => {
    if (!held || e.pointerId !== held.id) return;
    const moved = held.along ? e.clientX - held.x : held.y - e.clientY;
    if (!held.far && Math.hypot(e.clientX - held.x, e.clientY - held.y) < 4) return;
    e.preventDefault();
    held.far = true;
    document.documentElement.classList.add('dragging');
    write(held.b, held.was.value + moved * held.mm, stepOf(e, held.was), held.was);
    if (e.timeStamp - held.sent > 250 && !held.b.matches('.htmx-request')) {
      held.sent = e.timeStamp;
      htmx.trigger(held.b, 'change');
    }
  });
  const drop = e => {
    if (!held || e.pointerId !== held.id) return;
    if (held.far) {
      htmx.trigger(held.b, 'change');
      held.b.focus();
      document.documentElement.classList.remove('dragging');
      // The click that a release makes is none.
      const none = c => c.stopPropagation();
      addEventListener('click', none, {capture: true});
      setTimeout(() => removeEventListener('click', none, {capture: true}), 0);
    }
    held = null;
  };
  document.addEventListener('pointerup', drop);
  document.addEventListener('pointercancel', drop);
})();
