import { levelDb, magnitude, wrappedPhase } from "../../src/math/curve.js";
import type { Overlay } from "../../src/measure/overlay.js";
import { octaveText } from "../../src/measure/smooth.js";
import type { Sweep } from "../../src/measure/sweep.js";
import { formatQuantity } from "../quantity.js";
import type { Band, Figure, Panel, Table, Text } from "../show/view.js";

const frequencyAxis: Figure["x"] = Object.freeze({ quantity: "frequency", unit: "Hz", scale: "log" });

/** The curve of a sweep: level or impedance, with the phase (degrees, wrapped) under it where it is known. */
export function sweepFigure(sweep: Sweep): Figure {
  const { curve, name } = sweep;
  const trace = (y: Float64Array) => [{ name, x: curve.frequencies, y, role: "measurement" as const }];
  const panels: Panel[] = [];
  if (sweep.relativeTo !== undefined) panels.push({ quantity: "relative level", unit: `dB re ${sweep.relativeTo}`, traces: trace(levelDb(curve)), weight: 2 });
  else if (curve.unit === "Pa") panels.push({ quantity: "level", unit: "dB re 20 uPa", traces: trace(levelDb(curve)), weight: 2 });
  else if (curve.unit === "ratio") panels.push({ quantity: "deviation", unit: "dB", traces: trace(levelDb(curve)), weight: 2 });
  else if (curve.unit === "ohm") panels.push({ quantity: "impedance", unit: "ohm", traces: trace(magnitude(curve)), weight: 2, scale: "log" });
  else panels.push({ quantity: curve.quantity, unit: curve.unit, traces: trace(magnitude(curve)), weight: 2 });
  if (curve.phaseKnown) panels.push({ quantity: "phase", unit: "degrees", traces: trace(wrappedPhase(curve).map((x) => (x * 180) / Math.PI)), weight: 1 });
  const { metadata } = sweep;
  const told = ["place", "position", "drive"].flatMap((key) => (metadata[key] === undefined || metadata[key].length > 40 ? [] : [`${key}: ${metadata[key]}`]));
  return { kind: "figure", title: `${name}: measured ${sweep.relativeTo === undefined ? curve.quantity : "relative level"}`, subtitle: [...told, `from ${sweep.file}`].join("; "), x: frequencyAxis, panels };
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
      ...measuredTraces(result, `${names.measured} (measured${offset})`, shown(shifted)),
      { name: `${names.predicted} (predicted)`, x: frequencies, y: shown(result.predictedDb), role: "prediction" },
    ],
    ...bandsOf(result, shifted, shown),
    weight: 3,
    span,
  };
  // what is not trusted deviates by tens of dB: it would flatten all else
  const onlyTrusted = (db: Float64Array): Float64Array => (result.trusted.includes(1) ? db.map((value, i) => (result.trusted[i] === 1 ? value : NaN)) : db);
  // a wide band must not flatten the curve it belongs to
  const most = 3 + 1.5 * onlyTrusted(result.residualDb).reduce((a, x) => (Number.isFinite(x) ? Math.max(a, Math.abs(x)) : a), 0);
  const clipped = (db: Float64Array): Float64Array => onlyTrusted(db).map((x) => (Number.isFinite(x) ? Math.max(-most, Math.min(most, x)) : NaN));
  const residual: Panel = {
    quantity: "measured minus predicted",
    unit: "dB",
    traces: [{ name: "residual", x: frequencies, y: onlyTrusted(result.residualDb), role: "residual" }],
    ...(result.inBand === undefined ? {} : { bands: [{ name: "95 % uncertainty of both", x: frequencies, low: clipped(result.inBand.allowed.lowDb), high: clipped(result.inBand.allowed.highDb), role: "faint" as const }] }),
    weight: 1,
    span,
  };
  const subtitle = [...conditions, smoothing === undefined ? "no smoothing" : `both smoothed over ${octaveText(smoothing)}`, offsetText(result)].join("; ");
  return { kind: "figure", title: `${names.predicted}: ${impedance ? "impedance" : "level"}, measured and predicted`, subtitle, x: frequencyAxis, panels: [upper, residual, ...phasePanels(result, span)], notes: result.notes };
}

/** The measured level, with what is not trusted as a line of its own. */
function measuredTraces({ frequencies, trusted }: Overlay, name: string, y: Float64Array): Panel["traces"] {
  if (trusted.every((t) => t === 1)) return [{ name, x: frequencies, y, role: "measurement" }];
  // a point next to a trusted one is drawn with both, so that the lines meet
  const near = (i: number): boolean => [i - 1, i, i + 1].some((k) => trusted[k] === 0);
  return [
    { name, x: frequencies, y: y.map((value, i) => (trusted[i] === 1 ? value : NaN)), role: "measurement" },
    { name: "measured, not trusted", x: frequencies, y: y.map((value, i) => (near(i) ? value : NaN)), role: "faint" },
  ];
}

/** 95 % of the measurement and of the prediction, where they are known. */
function bandsOf({ frequencies, inBand, trusted, predictedDb }: Overlay, shifted: Float64Array, shown: (db: Float64Array) => Float64Array): Pick<Panel, "bands"> {
  if (inBand === undefined) return {};
  const bands: Band[] = [];
  const half = inBand.measuredHalfDb;
  if (half.some((x) => x > 0 && x < Infinity)) {
    // 10 dB beyond the curves at most: a wide band must not flatten them
    const all = [...shifted.filter((_, i) => trusted[i] === 1), ...predictedDb], floor = Math.min(...all) - 10, ceiling = Math.max(...all) + 10;
    const edge = (sign: number): Float64Array => shown(shifted.map((value, i) => (trusted[i] === 1 && Number.isFinite(half[i]!) ? Math.max(floor, Math.min(ceiling, value + sign * half[i]!)) : NaN)));
    bands.push({ name: "95 % of the measurement", x: frequencies, low: edge(-1), high: edge(1), role: "measurement" });
  }
  if (inBand.predicted !== undefined) bands.push({ name: "95 % of the prediction", x: frequencies, low: shown(inBand.predicted.lowDb), high: shown(inBand.predicted.highDb), role: "prediction" });
  return { bands };
}

/** Phase in degrees and group delay in ms, where they were compared; what is not trusted is left out, it would fill the axis. */
function phasePanels({ frequencies, phase, names, trusted }: Overlay, span: Panel["span"]): readonly Panel[] {
  if (phase === undefined) return [];
  const pair = (measured: Float64Array, predicted: Float64Array, factor: number): Panel["traces"] => [
    { name: `${names.measured} (measured)`, x: frequencies, y: measured.map((x, i) => (trusted[i] === 1 ? x * factor : NaN)), role: "measurement" },
    { name: `${names.predicted} (predicted)`, x: frequencies, y: predicted.map((x) => x * factor), role: "prediction" },
  ];
  const shared = { weight: 1.5, ...(span === undefined ? {} : { span }) };
  return [
    { quantity: "phase", unit: "degrees", traces: pair(phase.measuredPhase, phase.predictedPhase, 180 / Math.PI), ...shared },
    { quantity: "group delay", unit: "ms", traces: pair(phase.measuredDelay, phase.predictedDelay, 1e3), ...shared },
  ];
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
      ...(result.inBand === undefined ? [] : [
        ["within the 95 % uncertainty of both", result.inBand.share === undefined ? "-" : `${Math.round(100 * result.inBand.share)} % of ${result.inBand.judged} points`],
        ["correlation of the levels", result.correlation === undefined ? "-" : result.correlation.toFixed(3)],
        ["verdict", result.inBand.sentence],
      ]),
      ...(result.phase === undefined ? [] : [["root mean square of the phase difference", `${((result.phase.rmsPhase * 180) / Math.PI).toFixed(1)} degrees`]]),
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
