import { levelDb, magnitude, wrappedPhase } from "../../src/math/curve.js";
import type { Overlay } from "../../src/measure/overlay.js";
import { octaveText } from "../../src/measure/smooth.js";
import type { Sweep } from "../../src/measure/sweep.js";
import { formatQuantity } from "../quantity.js";
import type { Figure, Panel, Table, Text } from "../show/view.js";

const frequencyAxis: Figure["x"] = Object.freeze({ quantity: "frequency", unit: "Hz", scale: "log" });

/** The curve of a sweep: level or impedance, with the phase (degrees, wrapped) under it where it is known. */
export function sweepFigure(sweep: Sweep): Figure {
  const { curve, name } = sweep;
  const trace = (y: Float64Array) => [{ name, x: curve.frequencies, y, role: "measurement" as const }];
  const panels: Panel[] = [];
  if (curve.unit === "Pa") panels.push({ quantity: "level", unit: "dB re 20 uPa", traces: trace(levelDb(curve)), weight: 2 });
  else if (curve.unit === "ratio") panels.push({ quantity: "deviation", unit: "dB", traces: trace(levelDb(curve)), weight: 2 });
  else if (curve.unit === "ohm") panels.push({ quantity: "impedance", unit: "ohm", traces: trace(magnitude(curve)), weight: 2, scale: "log" });
  else panels.push({ quantity: curve.quantity, unit: curve.unit, traces: trace(magnitude(curve)), weight: 2 });
  if (curve.phaseKnown) panels.push({ quantity: "phase", unit: "degrees", traces: trace(wrappedPhase(curve).map((x) => (x * 180) / Math.PI)), weight: 1 });
  const { metadata } = sweep;
  const told = ["place", "position", "drive"].flatMap((key) => (metadata[key] === undefined || metadata[key].length > 40 ? [] : [`${key}: ${metadata[key]}`]));
  return { kind: "figure", title: `${name}: measured ${curve.quantity}`, subtitle: [...told, `from ${sweep.file}`].join("; "), x: frequencyAxis, panels };
}

/** What was read and decided, as text. */
export function sweepText(sweep: Sweep): Text {
  const kept = Object.entries(sweep.metadata).slice(0, 20).map(([key, value]) => `${key}: ${value}`);
  return { kind: "text", title: `How ${sweep.file} was read`, paragraphs: [sweep.report, ...(kept.length === 0 ? [] : [kept.join("; ")])], notes: sweep.notes };
}

/** Both curves above, the residual under them, the band shaded. */
export function overlayFigure(result: Overlay, conditions: readonly string[]): Figure {
  const { frequencies, names, band, offsetDb, smoothing, quantity } = result;
  const shifted = result.measuredDb.map((value) => value + offsetDb);
  const impedance = quantity === "electrical impedance";
  const shown = (db: Float64Array): Float64Array => (impedance ? db.map((value) => 10 ** (value / 20)) : db);
  const span = { from: band[0], to: band[1], name: "band of the comparison" };
  const offset = result.alignBand === undefined ? "" : `, ${signedDb(offsetDb)}`;
  const upper: Panel = {
    quantity: impedance ? "impedance" : "level",
    unit: impedance ? "ohm" : quantity === "sound pressure" || quantity === "pressure difference" ? "dB re 20 uPa" : "dB",
    ...(impedance ? { scale: "log" as const } : {}),
    traces: [
      { name: `${names.measured} (measured${offset})`, x: frequencies, y: shown(shifted), role: "measurement" },
      { name: `${names.predicted} (predicted)`, x: frequencies, y: shown(result.predictedDb), role: "prediction" },
    ],
    weight: 3,
    span,
  };
  const residual: Panel = {
    quantity: "measured minus predicted",
    unit: "dB",
    traces: [{ name: "residual", x: frequencies, y: result.residualDb, role: "residual" }],
    weight: 1,
    span,
  };
  const subtitle = [...conditions, smoothing === undefined ? "no smoothing" : `both smoothed over ${octaveText(smoothing)}`, offsetText(result)].join("; ");
  return { kind: "figure", title: `${names.predicted}: ${impedance ? "impedance" : "level"}, measured and predicted`, subtitle, x: frequencyAxis, panels: [upper, residual], notes: result.notes };
}

/** The figures of an overlay as a table. */
export function overlayTable(result: Overlay): Table {
  return {
    kind: "table",
    title: `Deviation from ${formatQuantity(result.band[0], "Hz")} to ${formatQuantity(result.band[1], "Hz")}`,
    columns: ["what", "value"],
    rows: [
      ["root mean square", `${result.rmsDb.toFixed(2)} dB`],
      ["mean", signedDb(result.meanDb)],
      ["largest", `${signedDb(result.largestDb)} at ${formatQuantity(result.largestFrequency, "Hz")}`],
      ["shift of the measurement", result.alignBand === undefined ? "none" : signedDb(result.offsetDb)],
    ],
  };
}

/** One line that says how far the two are apart. */
export function overlayLine(result: Overlay): string {
  const band = `${formatQuantity(result.band[0], "Hz")} to ${formatQuantity(result.band[1], "Hz")}`;
  return `overlay of "${result.names.measured}" on "${result.names.predicted}", ${band}: rms ${result.rmsDb.toFixed(2)} dB, mean ${signedDb(result.meanDb)}, largest ${signedDb(result.largestDb)} at ${formatQuantity(result.largestFrequency, "Hz")}; ${offsetText(result)}`;
}

function offsetText(result: Overlay): string {
  return result.alignBand === undefined ? "not aligned" : `measured level shifted by ${signedDb(result.offsetDb)}`;
}

function signedDb(value: number): string {
  return `${value < 0 ? "-" : "+"}${Math.abs(value).toFixed(2)} dB`;
}
