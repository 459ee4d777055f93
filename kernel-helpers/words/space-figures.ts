import { standardAir } from "../../src/air/air.js";
import type { OpeningElement } from "../../src/acoustics/network.js";
import { logGrid } from "../../src/math/log-grid.js";
import { leakCorner } from "../../src/space/cabin.js";
import { freeSpace, freeTransferImaginary } from "../../src/space/free.js";
import type { Point } from "../../src/space/places.js";
import { reverberationTime, schroederFrequency } from "../../src/space/room.js";
import { type Space, spaceDistance, spaceTransfer } from "../../src/space/space.js";
import { firstModes, shapeAt } from "../../src/space/space-notes.js";
import { formatNumber, formatQuantity } from "../quantity.js";
import type { Figure, Table, Trace, View } from "../show/view.js";

// Air of the tables and figures of a space that is not predicted in.
const air = standardAir;

/** What a space shows: its facts and modes, what it adds to free space, and where everything is. */
export function spaceViews(space: Space): readonly View[] {
  const plan = planFigure(space), gain = gainFigure(space);
  return [factsTable(space), ...modesTable(space), ...(gain === undefined ? [] : [gain]), ...(plan === undefined ? [] : [plan])];
}

/** One line that says what a space is. */
export function spaceLine(space: Space): string {
  const listener = listenerOf(space);
  return `space: ${space.name}${listener === undefined ? "" : `, listener at ${placeText(listener)}`}`;
}

function factsTable(space: Space): Table {
  const rows: (readonly string[])[] = [["space", space.name]];
  if (space.kind === "free space") rows.push(["solid angle", formatQuantity(space.solidAngle, "sr", 4)]);
  if (space.kind === "walls") space.walls.forEach((at, a) => at !== undefined && rows.push([["rear wall", "side wall", "floor"][a]!, `${formatQuantity(space.placement.box[a]! - at, "m")} from the box`]));
  if (space.kind === "room") {
    rows.push(["volume", formatQuantity(space.size[0] * space.size[1] * space.size[2], "m^3")]);
    const time = reverberationTime(space, 100, air);
    rows.push(["reverberation time at 100 Hz", Number.isFinite(time) ? formatQuantity(time, "s") : "no end"]);
    rows.push(["modes overlap above (Schroeder)", formatQuantity(schroederFrequency(space, air), "Hz")]);
  }
  if (space.kind === "cabin") {
    rows.push(["volume", formatQuantity(space.volume, "m^3")]);
    rows.push(["corner of the leak", space.leak === undefined ? "sealed" : formatQuantity(leakCorner(space, air), "Hz")]);
    rows.push(["walls", space.flex === undefined ? "rigid" : space.flex.kind === "compliance" ? `compliance ${formatQuantity(space.flex.compliance, "m^3/Pa")}` : `${formatQuantity(space.flex.area, "m^2")} give way`]);
    rows.push(["loss factor of the modes", formatNumber(space.lossFactor)]);
  }
  if (space.kind === "measured") {
    const f = space.transfer.frequencies;
    rows.push(["known from", `${formatQuantity(f[0]!, "Hz")} to ${formatQuantity(f[f.length - 1]!, "Hz")}, ${f.length} points`], ["phase", space.phase === undefined ? "not known" : "known"], ["relative to", space.free.name]);
  }
  const placement = placementOf(space);
  if (placement !== undefined) {
    if (space.kind !== "walls" && space.kind !== "free space") rows.push(["box", placeText(placement.box)]);
    for (const [name, at] of Object.entries(placement.places)) rows.push([`opening "${name}"`, placeText(at)]);
    if (placement.listener !== undefined) rows.push(["listener", placeText(placement.listener)]);
  }
  return { kind: "table", title: `Space: ${space.name}`, columns: ["what", "value"], rows };
}

function modesTable(space: Space): readonly Table[] {
  if (space.kind !== "room" && space.kind !== "cabin") return [];
  const { box, listener } = space.placement;
  const rows = firstModes(space, 12, air).map(({ order, frequency }) => [
    `(${order.join(", ")})`,
    formatQuantity(frequency, "Hz", 4),
    shapeAt(space.size, order, box).toFixed(2),
    listener === undefined ? "-" : shapeAt(space.size, order, listener).toFixed(2),
  ]);
  return [{ kind: "table", title: "First modes along length, width, height (shape: 1 or -1 at a wall, 0 on a nodal plane)", columns: ["order", "frequency", "shape at the box", "shape at the listener"], rows }];
}

/** Level at the listener for a small source at the box, relative to the same source in full space at the same distance. */
function gainFigure(space: Space): Figure | undefined {
  if (space.kind === "free space" || listenerOf(space) === undefined) return measuredFigure(space);
  const source: OpeningElement = { kind: "opening", name: "a small source at the box", node: "", area: 1e-6, load: { kind: "space" }, massInDriver: false };
  const x = logGrid(10, 300, 300), distance = spaceDistance(space, [source], 1), full = freeSpace("full");
  let y: Float64Array;
  try {
    const { re, im } = spaceTransfer(space, [source], distance, x, air);
    y = x.map((f, i) => 20 * Math.log10(Math.hypot(re[i]!, im[i]!) / freeTransferImaginary(full, f, distance, air)));
  } catch {
    return undefined; // a space without loss, right at a mode
  }
  return {
    kind: "figure",
    title: `What the space adds at the listener: ${space.name}`,
    subtitle: `small source at the box, against full space at the same ${formatQuantity(distance, "m")}`,
    x: { quantity: "frequency", unit: "Hz", scale: "log" },
    panels: [{ quantity: "level", unit: "dB re full space", traces: [{ name: space.name, x, y, role: "prediction" }] }],
  };
}

function measuredFigure(space: Space): Figure | undefined {
  if (space.kind !== "measured") return undefined;
  return {
    kind: "figure",
    title: `What the place adds: ${space.name}`,
    subtitle: `against ${space.free.name} at the same distance`,
    x: { quantity: "frequency", unit: "Hz", scale: "log" },
    panels: [{ quantity: "level", unit: `dB re ${space.free.name}`, traces: [{ name: space.name, x: space.transfer.frequencies, y: space.level, role: "measurement" }] }],
  };
}

/** Plan (width over length) and side view (height over length) with walls, box, openings and listener. */
function planFigure(space: Space): Figure | undefined {
  const placement = placementOf(space);
  if (placement === undefined) return undefined;
  const marks: [string, Point][] = [["box", placement.box], ...Object.entries(placement.places), ...(placement.listener === undefined ? [] : [["listener", placement.listener] as [string, Point]])];
  const reach = [0, 1, 2].map((a) => Math.max(...marks.map(([, p]) => Math.abs(p[a]! - placement.box[a]!)), 1));
  const size = Math.max(...(space.kind === "room" || space.kind === "cabin" ? space.size : reach)) / 40;
  const panel = (a: 1 | 2, quantity: string): Figure["panels"][number] => ({
    quantity,
    unit: "m",
    traces: [
      ...outline(space, a, reach),
      // a mark is a cross
      ...marks.map(([name, p]): Trace => ({ name, x: Float64Array.of(p[0] - size, p[0] + size, NaN, p[0], p[0]), y: Float64Array.of(p[a], p[a], NaN, p[a] - size, p[a] + size), role: name === "listener" ? "measurement" : name === "box" ? "prediction" : "comparison" })),
    ],
  });
  return { kind: "figure", title: `Places: ${space.name}`, subtitle: "from above and from the side", x: { quantity: "along the length", unit: "m", scale: "linear" }, panels: [panel(1, "across the width"), panel(2, "height")] };
}

function outline(space: Space, a: 1 | 2, reach: readonly number[]): readonly Trace[] {
  if (space.kind === "room" || space.kind === "cabin") {
    const [l, s] = [space.size[0], space.size[a]!];
    return [{ name: "walls", x: Float64Array.of(0, l, l, 0, 0), y: Float64Array.of(0, 0, s, s, 0), role: "faint" }];
  }
  if (space.kind !== "walls") return [];
  const [rear, across] = [space.walls[0], space.walls[a]], { box } = space.placement;
  const x: number[] = [], y: number[] = [];
  if (rear !== undefined) {
    x.push(rear, rear, NaN);
    y.push(across ?? box[a] - reach[a]!, box[a] + reach[a]!, NaN);
  }
  if (across !== undefined) {
    x.push(rear ?? box[0] - reach[0]!, box[0] + reach[0]!, NaN);
    y.push(across, across, NaN);
  }
  return x.length === 0 ? [] : [{ name: "walls", x: Float64Array.from(x), y: Float64Array.from(y), role: "faint" }];
}

function placementOf(space: Space): { readonly box: Point; readonly places: Readonly<Record<string, Point>>; readonly listener: Point | undefined } | undefined {
  if (space.kind === "measured") return undefined;
  return space.placement;
}

function listenerOf(space: Space): Point | undefined {
  return placementOf(space)?.listener;
}

function placeText(point: Point): string {
  return `(${point.map((x) => formatQuantity(x, "m")).join(", ")})`;
}
