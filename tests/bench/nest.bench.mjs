// Time to lay 50 pieces of 24 layers (angles, slanted dividers, islands) on sheets of 600 x 400 mm, and the share used, beside laying their bounding
// boxes alone (the baseline). Wanted: below 5 s. Prints times, ratios and the machine; asserts nothing about time. Run: npm run bench
import { createRequire } from "node:module";
import { cpus } from "node:os";

const require = createRequire(import.meta.url);
const built = "../../kernel-helpers/dist/src/";
const { nestPieces } = require(`${built}cut/nest.js`);
const { bounds, makeShape } = require(`${built}geometry/shape.js`);

const angle = (leg, width) => [[0, 0], [leg, 0], [leg, width], [width, width], [width, leg], [0, leg]];
const round = Array.from({ length: 40 }, (_, i) => [0.03 * Math.cos((i * Math.PI) / 20), 0.03 * Math.sin((i * Math.PI) / 20)]);
const outlines = [];
for (let layer = 1; layer <= 24; layer++) {
  outlines.push([layer, angle(0.2 + 0.003 * layer, 0.018)], [layer, [[0.05, 0.05], [0.2, 0.075], [0.2, 0.09], [0.05, 0.065]]]);
  if (layer % 12 === 0) outlines.push([layer, round]);
}
const pieceOf = (layer, outer, i) => ({ number: i + 1, layer, label: `piece ${i + 1}`, shape: makeShape(outer), circles: [] });
const pieces = outlines.map(([layer, outer], i) => pieceOf(layer, outer, i));
const boxes = outlines.map(([layer, outer], i) => {
  const { low, high } = bounds(outer);
  return pieceOf(layer, [low, [high[0], low[1]], high, [low[0], high[1]]], i);
});
const options = { sheet: [0.6, 0.4], margin: 0.005, gap: 0.003, inHoles: true };

function timed(list) {
  const start = process.cpuUsage(), nested = nestPieces(list, options), { user, system } = process.cpuUsage(start);
  return { seconds: (user + system) / 1e6, sheets: nested.sheets.length };
}
const own = timed(pieces), plain = timed(boxes);
console.log(`machine: ${cpus().length} x ${cpus()[0]?.model ?? "unknown"}, node ${process.version}`);
console.log(`${pieces.length} pieces in 24 layers: ${own.seconds.toFixed(2)} s on ${own.sheets} sheets; their bounding boxes: ${plain.seconds.toFixed(2)} s on ${plain.sheets} sheets; ratio of time ${(own.seconds / plain.seconds).toFixed(1)}`);
