"use strict";
// The catalogue's 3D view. The library stands in the page as text and is run when the first model
// is opened; a model is a classic script, since a page opened from a disk may not fetch.
const view = (() => {
  const canvas = document.getElementById("model");
  const said = document.getElementById("said");
  let wanted = "";

  async function library() {
    const script = document.createElement("script");
    script.textContent = document.getElementById("three").textContent + "\nwindow.MandrelThree = MandrelThree;";
    document.head.append(script);
    script.remove();
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
      const script = document.createElement("script");
      script.src = `models/${name}.js`;
      script.onload = () => script.remove();
      script.onerror = () => {
        script.remove();
        said.textContent = "The model's file is missing: run mandrelgen catalogue again.";
      };
      document.head.append(script);
    },
    close() {
      wanted = "";
      model.close();
    },
  };
})();
