"use strict";
// The catalogue's 3D view. Library and models are classic scripts, since a page opened from a disk
// may not fetch; they are loaded when the first model is opened.
const view = (() => {
  const canvas = document.getElementById("model");
  const said = document.getElementById("said");
  let wanted = "";

  const load = (url) => new Promise((done, failed) => {
    const script = document.createElement("script");
    script.src = url;
    script.onload = done;
    script.onerror = failed;
    document.head.append(script);
    script.remove();
  });

  async function library() {
    await load("catalogue/three.js");
    return window.MandrelThree;
  }

  const model = turningView({
    canvas, said, library,
    turnButton: document.getElementById("turn"),
    resetButton: document.getElementById("reset"),
    words: { plain: "Threads shown as plain cylinders." },
  });

  // Every model's script calls this with its name and shape.
  window.mandrelgenModel = (name, data) => {
    if (name !== wanted) return;
    model.show(data);
    canvas.dataset.shown = wanted;
  };

  return {
    async open(name) {
      wanted = name;
      model.clear();
      delete canvas.dataset.shown;
      said.textContent = "Loading …";
      if (!(await model.ready())) {
        said.textContent = "This browser shows no 3D; the pictures and drawings are below.";
        return;
      }
      model.begin();
      load(`catalogue/models/${name}.js`).catch(() => {
        said.textContent = "The model's file is missing: run mandrelgen catalogue again.";
      });
    },
    close() {
      wanted = "";
      model.close();
    },
  };
})();
