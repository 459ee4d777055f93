import { logGrid } from "../../src/math/log-grid.js";
import { makePairSpectra, makeRealFourier } from "../../src/math/real-fourier.js";
import { powerOfTwoAbove } from "../../src/math/fft.js";
import type { Deconvolved } from "../../src/measure/deconvolve.js";
import type { ImpulseResponse } from "../../src/measure/impulse-response.js";
import { clearBands } from "../../src/measure/measured-response.js";
import { strengthOfOrders } from "../../src/measure/order-noise.js";
import { levelsOfOrders, responseOfSweep } from "../../src/measure/sweep-response.js";
import type { TestSignal } from "../../src/measure/test-signal.js";
import { formatNumber, formatQuantity } from "../quantity.js";
import type { Figure, Table, Trace } from "../show/view.js";
import { trustedText } from "./trusted-text.js";

const orderNames: Readonly<Record<number, string>> = { 2: "second harmonic", 3: "third harmonic", 4: "fourth harmonic", 5: "fifth harmonic" };

/** What the recording told: delay (s), drift (ppm), repeats, signal to noise (dB), levels of the harmonics (dB). */
export function impulseTable(result: Deconvolved, signal: TestSignal): Table {
  const { linear, repeats, drift, noise } = result, [from, to] = linear.band;
  const grid = logGrid(from, Math.min(to, linear.sampleRate / 2.01), 96), response = responseOfSweep(result, grid);
  const sorted = [...response.signalToNoiseDb].sort((a, b) => a - b), middle = sorted[sorted.length >> 1]!;
  const driftText = Number.isFinite(drift.standardError) ? `${drift.ppm >= 0 ? "+" : ""}${drift.ppm.toFixed(2)} +- ${formatNumber(Math.max(0.01, drift.standardError), 2)} ppm, from ${drift.from}` : "could not be told";
  const rows: [string, string][] = [
    ["signal", signal.name],
    ["arrival after the start of the recording", formatQuantity(result.delay, "s", 7)],
    ["recorder's clock over the player's", driftText],
    ["repeats used", String(repeats.length)],
    ["signal to noise", noise.from === "not known" ? "not known" : `${formatNumber(middle, 3)} dB (median), ${formatNumber(sorted[0]!, 3)} dB (least), from ${noise.from}`],
    ["trusted (10 dB signal to noise or more)", trustedText(response)],
    ["kept", `${formatQuantity((linear.samples.length - linear.zeroIndex) / linear.sampleRate, "s")} after the arrival, ${formatQuantity(linear.zeroIndex / linear.sampleRate, "s")} before`],
  ];
  for (const { order, excitation: [low, high], relativeDb, noiseDb, isAboveNoise } of strengthOfOrders(result, levelsOfOrders(result, 24))) {
    const size = (db: number): string => `${formatNumber(db, 3)} dB re fundamental (${formatNumber(100 * 10 ** (db / 20), 2)} %)`;
    const said = isAboveNoise ? size(relativeDb) : noise.from === "not known" ? `${size(relativeDb)} at most: the noise is not known` : `not above the noise, which is ${size(noiseDb)} there`;
    rows.push([`${orderNames[order] ?? `order ${order}`}, mean over excitation from ${formatQuantity(low, "Hz")} to ${formatQuantity(high, "Hz")}`, said]);
  }
  return { kind: "table", title: `Impulse response of ${linear.name}`, columns: ["what", "value"], rows, notes: result.notes };
}

/** Envelope in dB re its largest value over time in ms, and the places where the harmonics arrive. */
export function impulseFigure(result: Deconvolved): Figure {
  const { linear, harmonics, sweep } = result, top = envelope(linear).reduce((a, x) => Math.max(a, x), 1e-300);
  const trace = (response: ImpulseResponse, { name, early, role }: { name: string; early: number; role: Trace["role"] }): Trace => {
    const levels = envelope(response), { x, y } = thinned(levels, (n) => ((n - response.zeroIndex) / response.sampleRate - early) * 1e3, top);
    return { name, x, y, role };
  };
  const traces: Trace[] = [trace(linear, { name: "linear response", early: 0, role: "measurement" }), ...harmonics.map(({ order, response }) => trace(response, { name: `${orderNames[order] ?? `order ${order}`}, ${formatQuantity((sweep?.growth ?? 0) * Math.log(order), "s")} early`, early: (sweep?.growth ?? 0) * Math.log(order), role: "comparison" }))];
  return {
    kind: "figure", title: `${linear.name}: envelope of the impulse response`, subtitle: harmonics.length === 0 ? "time from its arrival" : "time from the arrival of the linear response; harmonics come before it",
    x: { quantity: "time", unit: "ms", scale: "linear" }, // harmonics lie far below: the usual 60 dB of an axis of levels would leave them out
    panels: [{ quantity: "envelope", unit: "dB re largest", traces, range: [-100, 0] }],
  };
}

/** Level of the linear response and of the harmonics over the frequency of excitation, with the noise, and the trusted band shaded. */
export function ordersFigure(result: Deconvolved): Figure {
  const { linear } = result, orders = levelsOfOrders(result), grid = orders[0]!.excitation, response = responseOfSweep(result, grid);
  const widest = clearBands(response).bands.reduce<readonly [number, number] | undefined>((best, band) => (best === undefined || band[1] / band[0] > best[1] / best[0] ? band : best), undefined);
  const only = (trusted: number): Float64Array => orders[0]!.db.map((x, i) => (response.trusted[i] === trusted ? x : NaN));
  const traces: Trace[] = [{ name: "linear response", x: grid, y: only(1), role: "measurement" }];
  if (response.trusted.includes(0)) traces.push({ name: "linear response, not trusted", x: grid, y: only(0), role: "faint" });
  traces.push(...orders.slice(1).map(({ order, excitation, db }): Trace => ({ name: orderNames[order] ?? `order ${order}`, x: excitation, y: powerMean(db), role: "comparison" })));
  if (result.noise.from !== "not known") traces.push({ name: "noise", x: grid, y: orders[0]!.db.map((x, i) => x - response.signalToNoiseDb[i]!), role: "limit" });
  return {
    kind: "figure", title: `${linear.name}: response by order`, subtitle: "over the frequency of excitation; the harmonics as means over 1/6 octave",
    x: { quantity: "frequency", unit: "Hz", scale: "log" },
    panels: [{ quantity: "transfer", unit: "dB re played full scale", traces, range: orderRange(traces), ...(widest === undefined ? {} : { span: { from: widest[0], to: widest[1], name: "trusted" } }) }],
  };
}

/** Axis of all orders, dB: at most 100 below the highest value, in tens. */
function orderRange(traces: readonly Trace[]): readonly [number, number] {
  let low = Infinity, high = -Infinity;
  for (const { y } of traces) for (const value of y) if (Number.isFinite(value)) [low, high] = [Math.min(low, value), Math.max(high, value)];
  if (low > high) return [-100, 0];
  const top = 10 * Math.ceil(high / 10 + 1e-9);
  return [Math.max(top - 100, 10 * Math.floor(low / 10)), top];
}

/** Power means in dB over four neighbours to each side, 1/6 octave at 48 points an octave: what lies in noise would cover all else. */
function powerMean(db: Float64Array): Float64Array {
  return db.map((_, i) => {
    const near = db.subarray(Math.max(0, i - 4), i + 5);
    return 10 * Math.log10(Math.max(1e-30, near.reduce((sum, x) => sum + 10 ** (x / 10), 0) / near.length));
  });
}

/** One line that says what was found. */
export function impulseLine({ linear, drift, repeats, delay }: Deconvolved): string {
  const told = Number.isFinite(drift.standardError) ? `drift ${drift.ppm.toFixed(1)} +- ${formatNumber(Math.max(0.01, drift.standardError), 2)} ppm` : "drift not told";
  return `impulse response of "${linear.name}": ${formatQuantity(linear.band[0], "Hz")} to ${formatQuantity(linear.band[1], "Hz")}, ${repeats.length} ${repeats.length === 1 ? "repeat" : "repeats"}, ${told}, arrival at ${formatQuantity(delay, "s", 6)}`;
}

function envelope({ samples }: ImpulseResponse): Float64Array {
  const size = powerOfTwoAbove(2 * samples.length), fourier = makeRealFourier(size), pair = makePairSpectra(size), real = new Float64Array(size), turned = new Float64Array(size);
  fourier.forward(samples, [], pair);
  fourier.inverse({ ...pair, secondRe: pair.firstIm, secondIm: pair.firstRe.map((x) => -x) }, real, turned);
  return Float64Array.from(samples, (_, n) => Math.hypot(real[n]!, turned[n]!));
}

/** Largest of each run of samples, so that a long response has at most 2000 points. */
function thinned(levels: Float64Array, time: (n: number) => number, top: number): { x: Float64Array; y: Float64Array } {
  const run = Math.max(1, Math.ceil(levels.length / 2000)), count = Math.ceil(levels.length / run), x = new Float64Array(count), y = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    let best = i * run;
    for (let n = i * run; n < Math.min(levels.length, (i + 1) * run); n++) if (levels[n]! > levels[best]!) best = n;
    x[i] = time(best);
    y[i] = Math.max(-160, 20 * Math.log10(levels[best]! / top));
  }
  return { x, y };
}
