import { standardAir } from "../../src/air/air.js";
import type { OpeningElement } from "../../src/acoustics/network.js";
import { logGrid } from "../../src/math/log-grid.js";
import { leakCorner } from "../../src/space/cabin.js";
import { freeSpace, freeTransferImaginary } from "../../src/space/free.js";
import type { Point } from "../../src/space/places.js";
import { reverberationTime, schroederFrequency } from "../../src/space/room.js";
import { type Space, spaceDistance, spaceTransfer } from "../../src/space/space.js";
import { firstModes, profileShape, shapeAt } from "../../src/space/space-notes.js";
import { depthInside } from "../../src/space/profile.js";
import { profileLimit } from "../../src/space/profile-field.js";
import { formatNumber, formatQuantity } from "../quantity.js";
import type { Figure, Table, Trace, View } from "../show/view.js";

// Air of the tables and figures of a space that is not predicted in.
const air = standardAir;

/** What a space shows: its facts and modes, what it adds to free space, and where everything is. */
export function spaceViews(space: Space): readonly View[] {
  const plan = planFigure(space), gain = gainFigure(space), shape = modeFigure(space);
  return [factsTable(space), ...modesTable(space), ...(gain === undefined ? [] : [gain]), ...(plan === undefined ? [] : [plan]), ...(shape === undefined ? [] : [shape])];
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
    if (space.profile !== undefined) {
      const { corners, area, width } = space.profile;
      rows.push(["side profile", `${corners.length} corners, ${formatQuantity(area, "m^2")}`], ["width", formatQuantity(width, "m")], ["worked out up to", formatQuantity(profileLimit(space.profile, air), "Hz")]);
    }
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
  const { box, listener } = space.placement, hasProfile = space.kind === "cabin" && space.profile !== undefined;
  const rows = firstModes(space, 12, air).map(({ order, frequency }) => [
    `(${(hasProfile ? order.slice(0, 2) : order).join(", ")})`,
    formatQuantity(frequency, "Hz", 4),
    shapeText(shapeAt(space, order, box)),
    listener === undefined ? "-" : shapeText(shapeAt(space, order, listener)),
  ]);
  const title = hasProfile ? "First modes: number in the profile, order across (shape: 1 or -1 where it is largest, 0 on a nodal line)" : "First modes along length, width, height (shape: 1 or -1 at a wall, 0 on a nodal plane)";
  return [{ kind: "table", title, columns: ["order", "frequency", "shape at the box", "shape at the listener"], rows }];
}

/** Two decimals, without a sign before zero. */
function shapeText(shape: number): string {
  const text = shape.toFixed(2);
  return text === "-0.00" ? "0.00" : text;
}

/** How many points the pictures of modes have along the profile, no unit. */
const mapPoints = 80;

/** The first two modes of a profile as colours over it. */
function modeFigure(space: Space): Figure | undefined {
  if (space.kind !== "cabin" || space.profile === undefined) return undefined;
  const { profile } = space, { along, up } = profile, modes = firstModes(space, 40, air).filter(({ order }) => order[1] === 0).slice(0, 2);
  const step = (along[1] - along[0]) / mapPoints, rows = Math.max(8, Math.round((up[1] - up[0]) / step));
  const x = Float64Array.from({ length: mapPoints }, (_, i) => along[0] + (i + 0.5) * step), y = Float64Array.from({ length: rows }, (_, j) => up[0] + ((j + 0.5) * (up[1] - up[0])) / rows);
  const panels = modes.map(({ order, frequency }): Figure["panels"][number] => {
    const shape = profileShape(profile, order[0]), values = new Float64Array(x.length * y.length).fill(NaN);
    y.forEach((z, j) => x.forEach((at, i) => depthInside(profile, [at, z]) >= -step / 2 && (values[j * x.length + i] = shape([at, z]))));
    const margin = 0.05 * (up[1] - up[0]);
    return { range: [up[0] - margin, up[1] + margin], quantity: `height, mode ${order[0]} at ${formatQuantity(frequency, "Hz", 3)}`, unit: "m", traces: [...outline(space, 2, []), ...placeMarks(space, 2)], map: { quantity: "sound pressure of the mode", unit: "", x, y, values, range: [-1, 1] } };
  });
  return { kind: "figure", title: `First modes of the profile: ${space.name}`, subtitle: "rigid walls; 1 or -1 where the pressure is largest, 0 on a nodal line", x: { quantity: "along the length", unit: "m", scale: "linear" }, panels };
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
  const panel = (a: 1 | 2, quantity: string): Figure["panels"][number] => ({ quantity, unit: "m", traces: [...outline(space, a, reachOf(placement)), ...placeMarks(space, a)] });
  return { kind: "figure", title: `Places: ${space.name}`, subtitle: "from above and from the side", x: { quantity: "along the length", unit: "m", scale: "linear" }, panels: [panel(1, "across the width"), panel(2, "height")] };
}

type Places = NonNullable<ReturnType<typeof placementOf>>;

const marksOf = ({ box, places, listener }: Places): readonly (readonly [string, Point])[] => [["box", box], ...Object.entries(places), ...(listener === undefined ? [] : [["listener", listener] as const])];

/** Farthest place from the box along each axis, 1 m or more. */
function reachOf(placement: Places): readonly number[] {
  return [0, 1, 2].map((a) => Math.max(...marksOf(placement).map(([, p]) => Math.abs(p[a]! - placement.box[a]!)), 1));
}

/** A cross at each place, from above (1) or from the side (2). */
function placeMarks(space: Space, a: 1 | 2): readonly Trace[] {
  const placement = placementOf(space);
  if (placement === undefined) return [];
  const size = Math.max(...(space.kind === "room" || space.kind === "cabin" ? space.size : reachOf(placement))) / 40;
  return marksOf(placement).map(([name, p]): Trace => ({ name, x: Float64Array.of(p[0] - size, p[0] + size, NaN, p[0], p[0]), y: Float64Array.of(p[a], p[a], NaN, p[a] - size, p[a] + size), role: name === "listener" ? "measurement" : name === "box" ? "prediction" : "comparison" }));
}

function outline(space: Space, a: 1 | 2, reach: readonly number[]): readonly Trace[] {
  if (space.kind === "cabin" && space.profile !== undefined) {
    const { corners, along, width } = space.profile, closed = [...corners, corners[0]!];
    if (a === 2) return [{ name: "walls", x: Float64Array.from(closed, ([x]) => x), y: Float64Array.from(closed, ([, z]) => z), role: "residual" }];
    return [{ name: "walls", x: Float64Array.of(along[0], along[1], along[1], along[0], along[0]), y: Float64Array.of(0, 0, width, width, 0), role: "residual" }];
  }
  if (space.kind === "room" || space.kind === "cabin") {
    const [l, s] = [space.size[0], space.size[a]!];
    return [{ name: "walls", x: Float64Array.of(0, l, l, 0, 0), y: Float64Array.of(0, 0, s, s, 0), role: "residual" }];
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
  return x.length === 0 ? [] : [{ name: "walls", x: Float64Array.from(x), y: Float64Array.from(y), role: "residual" }];
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
