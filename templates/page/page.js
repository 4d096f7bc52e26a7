// Focus, folds, the turning model, copying, and saying when the program is gone: nothing is computed
// here.
(() => {
  'use strict';
  // -- what is typed and not answered yet stays as it is, whatever comes meanwhile
  const typed = new Map();
  let held = null;
  const now = box => box.type === 'radio' || box.type === 'checkbox' ? String(box.checked) : box.value;
  const tell = () => document.documentElement.toggleAttribute('data-unsent', typed.size > 0);
  // What stands in a form's boxes stays until the form is taken, whatever else changes meanwhile.
  const begun = new Set();
  const note = e => {
    if (!e.target.matches('[hx-post]:is(input, select)')) {
      if (e.target.form?.matches('[hx-post]')) begun.add(e.target);
      return;
    }
    typed.set(e.target, null);
    tell();
  };
  document.addEventListener('input', note, true);
  document.addEventListener('change', note, true);
  document.addEventListener('htmx:configRequest', e => {
    if (typed.has(e.detail.elt)) typed.set(e.detail.elt, now(e.detail.elt));
  });
  document.addEventListener('htmx:beforeOnLoad', e => {
    const box = e.detail.elt;
    const back = box.matches('.undo form');
    if (back || !e.detail.xhr.responseText.includes('data-refused'))
      for (const one of begun) if (back || one.form === box) begun.delete(one);
    if (typed.get(box) === now(box)) typed.delete(box);
    tell();
  });
  // What was typed is sent when its box is left, before a link is followed, and, if the page goes
  // all at once, behind it.
  const send = box => {
    if (typed.get(box) === null && !box.matches('.htmx-request')) htmx.trigger(box, 'change');
  };
  // What stands refused is tried again by Enter, though nothing new was typed.
  document.addEventListener('keydown', e => {
    if (e.key === 'Enter' && e.target.matches('input[hx-post][aria-invalid]') && !typed.has(e.target))
      htmx.trigger(e.target, 'change');
  });
  document.addEventListener('focusout', e => setTimeout(send, 0, e.target));
  document.addEventListener('click', e => {
    const link = e.target.closest('a[href]:not([download])');
    if (!link || !typed.size || e.ctrlKey || e.metaKey || e.shiftKey || e.button) return;
    e.preventDefault();
    const end = Date.now() + 5000;
    const go = () => {
      if (typed.size && Date.now() < end) setTimeout(go, 30);
      else location.href = link.href;
    };
    go();
  });
  addEventListener('pagehide', () => {
    for (const [box] of typed) {
      if (!box.isConnected) continue;
      const said = new URLSearchParams(JSON.parse(box.getAttribute('hx-vals')));
      if (box.type !== 'radio' && (box.type !== 'checkbox' || box.checked)) said.append(box.name, box.value);
      for (const more of box.closest('.two')?.querySelectorAll('input, select') || [])
        if (more !== box) said.append(more.name, more.value);
      navigator.sendBeacon(box.getAttribute('hx-post'), said);
    }
  });
  if (window.Idiomorph) {
    // A box being typed in keeps its text; a button that was pressed must not keep its words.
    document.addEventListener('htmx:beforeSwap', () => {
      const at = document.activeElement;
      held = at && at.matches('#work :is(input, select, textarea)') ? {at, top: at.getBoundingClientRect().top} : null;
      Idiomorph.defaults.ignoreActiveValue =
        !!document.activeElement && document.activeElement.matches('input, select, textarea');
    });
    // A fold stays open, and a model goes on turning, while what is around it changes.
    Idiomorph.defaults.callbacks.beforeAttributeUpdated = (name, node, way) =>
      !(name === 'open' && way === 'remove' && !node.matches('.ways'));
    Idiomorph.defaults.callbacks.beforeNodeMorphed = (old, now) => {
      if (typed.has(old) || begun.has(old)) return false;
      if (!shown || old !== shown.stage || !now.dataset) return true;
      if (old.dataset.stamp !== now.dataset.stamp) {
        old.dataset.stamp = now.dataset.stamp;
        fill(shown);
      }
      return false;
    };
  }
  // What a change did is told where one is: at the window's foot if its own place is out of sight,
  // until the next press. What is typed in does not lie under it.
  const root = document.documentElement;
  const tellHere = () => {
    root.removeAttribute('data-told');
    const said = document.getElementById('said');
    if (!said?.textContent || said.getBoundingClientRect().bottom > 0) return;
    root.dataset.told = 'here';
  };
  const uncover = () => {
    const at = document.activeElement;
    if (root.dataset.told !== 'here' || !at?.matches('#work *')) return;
    const box = at.getBoundingClientRect();
    const over = box.bottom + 8 - document.getElementById('said').getBoundingClientRect().top;
    if (over > 0 && box.top < innerHeight) scrollBy(0, over);
  };
  for (const press of ['pointerdown', 'keydown'])
    document.addEventListener(press, () => { if (root.dataset.told) root.dataset.told = 'past'; }, true);
  // What is typed in stays under the hand, whatever grows above it.
  document.addEventListener('htmx:afterSwap', () => {
    tellHere();
    if (held && held.at.isConnected) scrollBy(0, held.at.getBoundingClientRect().top - held.top);
    held = null;
    uncover();
  });
  // Why a button was refused, and what it left behind, is seen, wherever the page stands.
  document.addEventListener('htmx:afterSettle', () => {
    const told = document.querySelector('#work [data-refused], #work form.left');
    if (!told) return;
    const at = told.getBoundingClientRect();
    if (at.top < 0 || at.bottom > innerHeight) told.scrollIntoView({block: 'center'});
    if (told.matches('.faults')) told.focus({preventScroll: true});
  });
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
  // -- the turning model: one at a time, its library fetched when the first is asked for
  let shown = null;
  const script = name => document.querySelector(`script[src="${name}"]`) ? Promise.resolve()
    : new Promise((done, failed) => {
      const one = Object.assign(document.createElement('script'), {src: name, onload: done, onerror: failed});
      document.head.append(one);
    });
  const fill = async of => {
    const answer = await fetch(of.stage.dataset.model, {cache: 'no-store'}).catch(() => null);
    if (of !== shown || !answer || !answer.ok) return;
    of.view.show(await answer.json());
    of.stage.dataset.shown = of.stage.dataset.stamp;
  };
  // The browser's way back leads from the model to its sheet, and not off the page.
  addEventListener('popstate', () => { if (!history.state?.model) close(); });
  const leave = () => {
    close();
    if (history.state?.model) history.back();
  };
  const close = () => {
    if (!shown) return;
    shown.view.dispose();
    const old = shown.stage.querySelector('canvas');
    old.replaceWith(old.cloneNode());
    show(shown.stage, false);
    shown = null;
  };
  const show = (stage, on) => {
    stage.hidden = !on;
    const figure = stage.closest('.show');
    figure.querySelector('.preview').hidden = on;
    figure.querySelector('[data-act=model]').setAttribute('aria-expanded', String(on));
    if (!on) delete stage.dataset.shown;
  };
  const open = async stage => {
    close();
    show(stage, true);
    const said = stage.querySelector('[role=status]');
    try {
      await script('/assets/model.js');
    } catch {
      said.textContent = stage.dataset.none;
      return;
    }
    const view = turningView({
      said, canvas: stage.querySelector('canvas'),
      turnButton: stage.querySelector('[data-act=turn]'),
      resetButton: stage.querySelector('[data-act=reset]'),
      library: () => script('/assets/three.js').then(() => MandrelThree),
      words: {plain: stage.dataset.plain},
    });
    shown = {stage, view};
    if (!(await view.ready())) {
      said.textContent = stage.dataset.none;
      return;
    }
    view.begin();
    await fill(shown);
  };
  const act = {
    model: button => {
      const stage = button.closest('.show').querySelector('.stage');
      if (!stage.hidden) return leave();
      if (!history.state?.model) history.pushState({model: true}, '');
      open(stage);
    },
    print: () => print(),
  };
  document.addEventListener('click', e => {
    const button = e.target.closest('[data-act]');
    if (button && act[button.dataset.act]) {
      act[button.dataset.act](button);
      return;
    }
    const copy = e.target.closest('[data-copy]');
    if (copy) {
      const text = document.getElementById(copy.dataset.copy);
      navigator.clipboard.writeText(text.value).then(
        () => {
          document.getElementById('said').textContent = document.body.dataset.copied;
          tellHere();
        },
        () => { text.select(); });
      return;
    }
    const balloon = e.target.closest('svg [data-balloon]');
    if (balloon) {
      const all = [...document.querySelectorAll('.answer')];
      const one = all.find(a => a.dataset.q === balloon.dataset.balloon) ||
        all.find(a => (a.dataset.also || '').split(' ').includes(balloon.dataset.balloon));
      if (one) showBox(one.querySelector('input'));
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
      const other = {pen: 'joints', joints: 'pen'}[way[3]];
      if (other) location.href = `/pens/${way[2]}/${other}#${encodeURIComponent('f-' + key.replaceAll('.', '-'))}`;
      return;
    }
    showBox(box);
  });
  const showBox = box => {
    for (let d = box.closest('details'); d; d = d.parentElement.closest('details')) d.open = true;
    box.focus();
    if (box.type === 'text') box.select();
  };
  const here = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (here && here.matches('input, select')) showBox(here);
})();
