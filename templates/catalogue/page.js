// Search, filter, keys and the dialog. The cards stand in the page already; nothing is built here.
(() => {
  const id = (name) => document.getElementById(name);
  const data = JSON.parse(id("data").textContent);
  const cards = [...document.querySelectorAll(".card")];
  const grid = document.querySelector(".cards");
  const form = document.querySelector(".find");
  const count = document.querySelector(".count");
  const nothing = document.querySelector(".nothing");
  const dialog = id("detail");
  const CHOICES = ["thread", "part", "pen", "status"];
  const shown = cards.map(() => true);
  let current = -1;
  document.documentElement.classList.add("js");

  function make(name, parent, text = "", also = {}) {
    const node = Object.assign(document.createElement(name), also);
    node.textContent = text;
    parent.append(node);
    return node;
  }

  function details(d) {
    const list = document.createElement("dl");
    for (const [name, text, more] of d.facts) {
      make("dt", list, name);
      const value = make("dd", list, text);
      if (more) make("small", value, more, { className: text ? "" : "alone" });
    }
    const files = document.createElement("p");
    files.className = "files";
    for (const [label, url] of d.files) make("a", files, label, { href: url });
    const earlier = document.createElement("p");
    earlier.className = "earlier";
    d.earlier.forEach(([label, url], k) => {
      earlier.append(k ? "; " : "Earlier: ");
      make("a", earlier, label, { href: url });
    });
    return d.earlier.length ? [list, files, earlier] : [list, files];
  }

  // Sizes and links of a card are filled in when it comes near the window, or all for printing:
  // a page of thousands stays quick.
  const filled = new Set();
  function complete(card) {
    if (filled.has(card)) return;
    filled.add(card);
    card.firstElementChild.append(...details(data[cards.indexOf(card)]));
  }
  const near = new IntersectionObserver((seen) => {
    for (const entry of seen) {
      if (!entry.isIntersecting) continue;
      complete(entry.target);
      near.unobserve(entry.target);
    }
  }, { rootMargin: "800px" });
  cards.forEach((card) => near.observe(card));
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
      const fits = chosen.every(([name, value]) => name === "thread" ? d.thread.includes(value) : d[name] === value)
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
  }

  const visible = () => cards.map((_, i) => i).filter((i) => shown[i]);
  const link = (i) => cards[i].querySelector(".open");

  function fill(i) {
    current = i;
    const card = cards[i], d = data[i], title = card.querySelector(".title").textContent;
    id("detail-name").textContent = `${card.querySelector("h2").textContent.replace(/\s+/g, " ").trim()}: ${title}`;
    id("facts").replaceChildren(...details(d));
    id("drawing-link").hidden = !d.drawing;
    if (d.drawing) {
      id("drawing-link").href = id("drawing").src = d.drawing;
      id("drawing").alt = `Drawing of ${d.number}`;
    }
    document.querySelector(".stage").hidden = id("controls").hidden = !d.model;
    id("model").setAttribute("aria-label", `Model of ${d.number}, ${title}`);
    if (d.model) view.open(d.model);
    else view.close();
    const row = visible(), at = row.indexOf(i);
    id("before").disabled = at < 1;
    id("after").disabled = at < 0 || at === row.length - 1;
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
  form.addEventListener("submit", (e) => e.preventDefault());
  form.addEventListener("reset", () => setTimeout(filter));
  // A browser may bring back what stood in the fields when the page was left.
  addEventListener("pageshow", filter);
})();
