// node dxf_texts.js FILE: every lettering that a reader of its own (npm's dxf-parser) shows in the
// model space: texts, and those of inserted blocks; frozen layers left out. One JSON array.
const { readFileSync } = require("node:fs");
const parser = require("dxf-parser");
const DxfParser = parser.DxfParser || parser.default || parser;

const drawing = new DxfParser().parseSync(readFileSync(process.argv[2], "utf8"));
const layers = drawing.tables.layer.layers;
const shown = (e) => !(layers[e.layer] && layers[e.layer].frozen);
const found = [];
function gather(entities) {
  for (const e of entities.filter(shown)) {
    if (e.type === "INSERT") gather(drawing.blocks[e.name].entities);
    else if (e.type === "DIMENSION") gather(drawing.blocks[e.block].entities);
    else if (e.type === "TEXT" || e.type === "MTEXT") found.push(e.text);
  }
}
gather(drawing.entities);
process.stdout.write(JSON.stringify(found));
