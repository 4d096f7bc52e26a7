// Search, filter, keys and the dialog. The cards stand in the page already; nothing is built here.
(() => {
  const id = (name) => document.getElementById(name);
  const data = mandrelgenCards;
  const cards = [...document.querySelectorAll(".card")];
  const grid = document.querySelector(".cards");
  const form = document.querySelector(".find");
  const count = document.querySelector(".count");
  const nothing = document.querySelector(".nothing");
  const dialog = id("detail");
  const CHOICES = ["thread", "part", "pen", "state"];
  const shown = cards.map(() => true);
  let order = cards.map((_, i) => i);
  let current = -1;
  document.documentElement.classList.add("js");
  id("lost").hidden = data.length === Number(grid.dataset.count);
  // Pictures are to one scale: the widest fills its place.
  if (data.length) grid.style.setProperty("--widest", data.reduce((w, d) => Math.max(w, d.width ?? 0), 1));

  function make(name, parent, text = "", also = {}) {
    const node = Object.assign(document.createElement(name), also);
    node.textContent = text;
    parent.append(node);
    return node;
  }

  function facts(d) {
    const list = document.createElement("dl");
    for (const [name, text, more] of d.facts) {
      make("dt", list, name);
      const value = make("dd", list, text);
      if (more) make("small", value, more, { className: text ? "" : "alone" });
    }
    return list;
  }

  // What few people need at once: every file but the drawing, and the older revisions.
  function further(d) {
    const files = document.createElement("p");
    files.className = "files";
    for (const [label, url] of d.files)
      if (url !== d.drawing) make("a", files, label, { href: url });
    for (const [label, url] of d.earlier) make("a", files, `earlier: ${label}`, { href: url });
    return files;
  }

  // What there is to choose from; threads by size.
  const lists = (a, b) => a.map((x, k) => x - b[k]).find(Boolean) ?? 0;
  const threads = new Map(data.flatMap((d) => d.thread).map(([name, ...size]) => [name, size]));
  const options = { thread: [...threads.keys()].sort((a, b) => lists(threads.get(a), threads.get(b)) || a.localeCompare(b)) };
  for (const name of CHOICES) {
    options[name] ??= [...new Set(data.map((d) => d[name]))].filter(Boolean).sort();
    for (const text of options[name]) make("option", id(name), text);
  }

  // For paper each card shows its sizes; on the screen they stand in the dialog, so that no card
  // ever changes its height.
  const filled = new Set();
  function complete(card) {
    if (filled.has(card)) return;
    filled.add(card);
    const d = data[cards.indexOf(card)];
    card.firstElementChild.append(facts(d), further(d));
  }
  const printed = () => cards.filter((card, i) => shown[i]);
  addEventListener("beforeprint", () => printed().forEach(complete));
  // The browser's own command may print before pictures further down were loaded; this waits.
  id("print").addEventListener("click", async () => {
    const pictures = printed().map((card) => card.querySelector("img")).filter(Boolean);
    await Promise.all(pictures.map((image) => {
      image.loading = "eager";
      return image.complete || new Promise((done) => { image.onload = image.onerror = done; });
    }));
    print();
  });

  // "M8,5 × 0,75" and "m8.5x0.75" are one thread.
  const plain = (text) => text.toLowerCase().replace(/[×✕]/g, "x").replace(/(\d),(?=\d)/g, "$1.")
    .replace(/(\d)\s*x\s*(?=[\dp])/g, "$1x").replace(/[⌀ø]\s*/g, "⌀");
  let texts;

  function filter() {
    texts ??= data.map((d) => plain([d.text, ...d.facts.flat()].join(" ")));
    const words = plain(id("words").value).split(/\s+/).filter(Boolean);
    const chosen = CHOICES.map((name) => [name, id(name).value]).filter(([, value]) => value);
    let left = 0;
    data.forEach((d, i) => {
      const fits = chosen.every(([name, value]) => name === "thread" ? d.thread.some(([text]) => text === value) : d[name] === value)
        && words.every((word) => texts[i].includes(word));
      if (fits !== shown[i]) cards[i].hidden = !fits;
      shown[i] = fits;
      left += fits;
    });
    const asked = words.length || chosen.length;
    const said = [...chosen.map(([name, value]) => `${name} ${value}`), ...words.map((w) => `“${w}”`)];
    count.classList.toggle("all", !asked);
    count.textContent = asked ? `${left} of ${data.length} shown: ${said.join(", ")}` : `All ${data.length} shown.`;
    nothing.hidden = left > 0 || !data.length;
    id("fold").textContent = chosen.length ? `Filters (${chosen.length})` : "Filters";
  }

  // The order of the cards: by what was chosen, equal ones by number; what is not known goes last.
  const missing = (x) => x === null || x === "";
  const SORTS = {
    thread: [(d) => d.thread.map(([, ...size]) => size).sort(lists)[0] ?? null, lists],
    length: [(d) => d.length, (a, b) => a - b],
    date: [(d) => d.date, (a, b) => b.localeCompare(a)],
    part: [(d) => d.part, (a, b) => a.localeCompare(b)],
    pen: [(d) => d.pen, (a, b) => a.localeCompare(b)],
  };
  function sort() {
    order = cards.map((_, i) => i);
    if (SORTS[id("sort").value]) {
      const [key, compare] = SORTS[id("sort").value];
      order.sort((i, k) => {
        const a = key(data[i]), b = key(data[k]);
        if (missing(a) || missing(b)) return missing(a) - missing(b) || i - k;
        return compare(a, b) || i - k;
      });
    }
    grid.append(...order.map((i) => cards[i]));
  }

  function show(asList) {
    grid.classList.toggle("list", asList);
    id("as-list").setAttribute("aria-pressed", String(asList));
    id("as-cards").setAttribute("aria-pressed", String(!asList));
  }

  const visible = () => order.filter((i) => shown[i]);
  const link = (i) => cards[i].querySelector(".open");

  function fill(i) {
    current = i;
    const d = data[i], title = cards[i].querySelector(".title").textContent;
    const which = cards[i].querySelector(".number").textContent;
    id("detail-name").textContent = `${d.headline}: ${which}, ${title}`;
    const papers = document.createElement("div");
    papers.className = "steps papers";
    if (d.drawing) make("a", papers, "Drawing", { className: "button", href: d.drawing });
    const rest = make("details", papers);
    make("summary", rest, "More");
    rest.append(further(d));
    id("facts").replaceChildren(papers, facts(d));
    sheets(d);
    document.querySelector(".stage").hidden = id("controls").hidden = !d.model;
    id("model").setAttribute("aria-label", `Model of ${d.number}, ${title}`);
    if (d.model) view.open(d.model);
    else view.close();
    const row = visible(), at = row.indexOf(i);
    id("before").disabled = at < 1;
    id("after").disabled = at < 0 || at === row.length - 1;
  }

  // Each sheet in a window of its own that scrolls: at full size the smallest letters are readable.
  function sheets(d) {
    for (const old of document.querySelectorAll("#sheets figure")) old.remove();
    id("sheets").hidden = !d.sheets.length;
    d.sheets.forEach((url, k) => {
      const name = d.sheets.length > 1 ? `Sheet ${k + 1} of ${d.number}` : `Sheet of ${d.number}`;
      const figure = make("figure", id("sheets"));
      const pane = make("div", figure, "", { className: "pane", tabIndex: 0 });
      pane.setAttribute("role", "region");
      pane.setAttribute("aria-label", name);
      const image = make("img", pane, "", { alt: name });
      // 1.1 times the paper's own size: letters of 2.5 mm are 10 dots high.
      image.onload = () => image.style.setProperty("--full", `${Math.round(1.1 * Math.min(image.naturalWidth, 2246))}px`);
      image.src = url;
      make("a", make("figcaption", figure), d.sheets.length > 1 ? `Open sheet ${k + 1}` : "Open the sheet", { className: "button", href: url });
    });
  }

  function open(i) {
    if (!dialog.open) dialog.showModal();
    fill(i);
    dialog.scrollTop = 0;
    (data[i].model ? id("model") : id("close")).focus({ preventScroll: true });
  }

  function step(by) {
    const row = visible(), next = row[row.indexOf(current) + by];
    if (next !== undefined) fill(next);
  }

  grid.addEventListener("click", (e) => {
    const opener = e.target.closest(".open");
    if (!opener || e.ctrlKey || e.metaKey || e.shiftKey || e.button) return;
    e.preventDefault();
    open(cards.indexOf(opener.closest(".card")));
  });
  // One list of files for all cards, beside the button that was pressed.
  grid.addEventListener("click", (e) => {
    const button = e.target.closest(".more");
    if (!button) return;
    const card = button.closest(".card"), place = button.getBoundingClientRect();
    const menu = id("files");
    menu.replaceChildren(further(data[cards.indexOf(card)]));
    menu.showPopover();
    const { width, height } = menu.getBoundingClientRect();
    const below = place.bottom + 4 + height < innerHeight;
    menu.style.left = `${Math.max(8, Math.min(place.left, document.documentElement.clientWidth - width - 8))}px`;
    menu.style.top = `${Math.max(8, below ? place.bottom + 4 : place.top - 4 - height)}px`;
    menu.querySelector("a")?.focus();
    menu.addEventListener("toggle", () => button.focus(), { once: true });
  });
  addEventListener("scroll", () => id("files").matches(":popover-open") && id("files").hidePopover(), { passive: true });
  id("fold").addEventListener("click", () => {
    const open = form.classList.toggle("unfolded");
    id("fold").setAttribute("aria-expanded", String(open));
  });
  id("sort").addEventListener("change", sort);
  id("as-cards").addEventListener("click", () => show(false));
  id("as-list").addEventListener("click", () => show(true));
  id("whole").addEventListener("click", () => {
    const whole = id("sheets").classList.toggle("whole");
    id("whole").setAttribute("aria-pressed", String(whole));
  });
  // Arrow keys go from card to card, as they lie on the page.
  grid.addEventListener("keydown", (e) => {
    if (!e.target.matches(".open") || e.ctrlKey || e.metaKey || e.altKey) return;
    const across = getComputedStyle(grid).gridTemplateColumns.split(" ").length;
    const row = visible(), at = row.indexOf(cards.indexOf(e.target.closest(".card")));
    const to = { ArrowLeft: at - 1, ArrowRight: at + 1, ArrowUp: at - across, ArrowDown: at + across, Home: 0, End: row.length - 1 }[e.key];
    if (to === undefined) return;
    e.preventDefault();
    if (row[to] !== undefined) link(row[to]).focus();
  });
  document.addEventListener("keydown", (e) => {
    if (e.key === "/" && !dialog.open && !e.target.matches("input, select")) {
      e.preventDefault();
      id("words").focus();
    }
  });
  id("words").addEventListener("keydown", (e) => {
    if (e.key === "Escape" && id("words").value) {
      e.preventDefault();
      id("words").value = "";
      filter();
    }
  });
  id("before").addEventListener("click", () => step(-1));
  id("after").addEventListener("click", () => step(1));
  id("close").addEventListener("click", () => dialog.close());
  dialog.addEventListener("click", (e) => {
    if (e.target === dialog) dialog.close(); // beside the dialog
  });
  dialog.addEventListener("close", () => {
    view.close();
    if (current >= 0 && shown[current]) link(current).focus();
    current = -1;
  });
  for (const name of ["input", "change"]) form.addEventListener(name, filter);
  // A link to a card that a filter hides shows it all the same.
  addEventListener("hashchange", () => {
    const at = cards.findIndex((card) => card.id === location.hash.slice(1));
    if (at < 0 || shown[at]) return;
    form.reset();
    setTimeout(() => cards[at].scrollIntoView());
  });
  form.addEventListener("submit", (e) => e.preventDefault());
  form.addEventListener("reset", () => setTimeout(filter));
  // A browser may bring back what stood in the fields when the page was left.
  addEventListener("pageshow", () => {
    filter();
    sort();
  });
})();
