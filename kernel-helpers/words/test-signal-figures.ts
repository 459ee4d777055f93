import { type Note, remark } from "../../src/notes.js";
import { harmonicAdvance, harmonicRoom, sweepFacts, sweepSpectrum } from "../../src/measure/sweep-facts.js";
import { sweepFrequency } from "../../src/measure/sweep-phase.js";
import { type SignalSpectrum, signalSpectrum } from "../../src/measure/signal-spectrum.js";
import { fillPeriod, periodCount, type TestSignal } from "../../src/measure/test-signal.js";
import { formatNumber, formatQuantity } from "../quantity.js";
import type { Figure, Panel, Table, Trace, View } from "../show/view.js";

/** Table, course and spectrum of a test signal. */
export function signalViews(signal: TestSignal): View[] {
  const spectrum = signalSpectrum(signal, 24);
  return [signalTable(signal, spectrum), courseFigure(signal), ...spectrumFigure(signal, spectrum)];
}

/** One line for the console. */
export function signalLine(signal: TestSignal): string {
  const { name, layout, sampleRate, level, repeats } = signal;
  return `${name}: ${formatQuantity(signal.sweepDuration, "s")}${repeats > 1 ? `, ${repeats} times` : ""}, ${decibels(level)} re full scale, file of ${formatQuantity(layout.total / sampleRate, "s", 4)} at ${formatQuantity(sampleRate, "Hz", 4)}`;
}

function decibels(ratio: number): string {
  return `${formatNumber(20 * Math.log10(ratio), 3)} dB`;
}

function signalTable(signal: TestSignal, spectrum: SignalSpectrum | undefined): Table {
  const { kind, band, sampleRate, level, repeats, silence, layout, recipe, sweep } = signal;
  const seconds = (samples: number): string => formatQuantity(samples / sampleRate, "s", 4);
  const facts = sweep === undefined ? undefined : sweepFacts(sweep);
  const energy = facts?.energy ?? spectrum?.energy, rms = spectrum?.rms;
  const orders = [2, 3, 4, 5];
  const rows: [string, string][] = [
    ["what", `${kind}, ${formatQuantity(band[0], "Hz", 4)} to ${formatQuantity(band[1], "Hz", 4)}`],
    ["level", `peak ${decibels(level)} re full scale${rms === undefined ? "" : `, RMS over one period ${decibels(rms)} (full scale 1)`}`],
    ["one period", `${formatQuantity(signal.sweepDuration, "s", 5)}, ${repeats === 1 ? "played once" : `played ${repeats} times`}, ${silence > 0 ? `${formatQuantity(silence, "s")} of silence after it` : "without silence"}`],
    ["length of the file", `${seconds(layout.total)}, ${layout.total} samples at ${formatQuantity(sampleRate, "Hz", 5)}, first period at sample ${layout.starts[0]!}`],
  ];
  if (layout.clickAt !== undefined && recipe.click !== null) rows.push(["timing click", `at sample ${layout.clickAt} (${seconds(layout.clickAt)}) of channel ${recipe.click.channel}, peak ${decibels(recipe.click.level)} re full scale, up to ${formatQuantity(recipe.click.bandwidth, "Hz")}`]);
  if (energy !== undefined) rows.push(["energy of one period", `${formatNumber(energy, 4)} full scale^2 s${repeats > 1 ? `; ${repeats} repeats lower noise by ${formatNumber(10 * Math.log10(repeats), 2)} dB` : ""}`]);
  rows.push(["highest frequency", `${formatQuantity(band[1], "Hz", 4)}, ${formatNumber((200 * band[1]) / sampleRate, 3)} % of half the rate (${formatQuantity(sampleRate / 2, "Hz", 5)})`]);
  if (sweep !== undefined && facts !== undefined) {
    rows.push(
      ["time for an octave", `${formatQuantity(facts.perOctave, "s", 4)}; growth by e in ${formatQuantity(facts.growth, "s", 6)}`],
      ["periods in the first octave", `${formatNumber(facts.periods, 6)}${facts.synchronised ? ", a whole number: harmonics keep their phases" : ""}`],
      ["fades", `${formatQuantity(sweep.fadeIn, "s")} and ${formatQuantity(sweep.fadeOut, "s")}; full level from ${formatQuantity(facts.fullLevel[0], "Hz", 4)} to ${formatQuantity(facts.fullLevel[1], "Hz", 4)}`],
      ["harmonics arrive earlier by", orders.map((n) => `order ${n}: ${formatQuantity(harmonicAdvance(sweep, n), "s", 4)}`).join(", ")],
      ["room for the response of a harmonic", orders.map((n) => `order ${n}: ${formatQuantity(harmonicRoom(sweep, n - 1), "s", 3)}`).join(", ")],
    );
  }
  if (signal.steps !== undefined) {
    const measured = signal.steps.map((step) => step.measureCount / sampleRate);
    rows.push(["steps", `${signal.steps.length}, each ${formatQuantity(Math.min(...measured), "s")} to ${formatQuantity(Math.max(...measured), "s")} of whole periods after the time to settle`]);
  }
  if (kind === "pink noise" && spectrum !== undefined) rows.push(["crest factor", `${formatNumber(spectrum.crest, 3)} (${decibels(spectrum.crest)}), peak over RMS; seed ${recipe.kind === "pink noise" ? recipe.seed : ""}`]);
  return { kind: "table", title: `Test signal: ${signal.name}`, columns: ["property", "value"], rows, notes: safetyNotes(signal) };
}

function safetyNotes({ name }: TestSignal): Note[] {
  return [remark(name, "before playing: turn the amplifier down and start low; protect ears where it is loud for long, and follow the rules of the place. Low frequencies move the cone most: sweepCaution says how far")];
}

/** Waveform and instantaneous frequency over the whole file. */
function courseFigure(signal: TestSignal): Figure {
  const { sampleRate, layout, recipe, level, name } = signal;
  const traces: Trace[] = [{ name: "signal, channel 1", ...waveform(signal), role: "prediction" }];
  if (layout.clickAt !== undefined && recipe.click !== null && signal.click !== undefined) {
    const first = layout.clickAt - (signal.click.length - 1) / 2;
    traces.push({ name: `timing click, channel ${recipe.click.channel}`, x: signal.click.map((_, n) => (first + n) / sampleRate), y: signal.click, role: "comparison" });
  }
  const room = 1.05 * Math.max(level, recipe.click?.level ?? 0);
  const panels: Panel[] = [{ quantity: "sample", unit: "of full scale", traces, range: [-room, room] }];
  const course = frequencyCourse(signal);
  if (course !== undefined) panels.push({ quantity: "frequency", unit: "Hz", scale: "log", traces: [{ name: "instantaneous frequency", ...course, role: "prediction" }] });
  return { kind: "figure", title: `Course of ${name}`, subtitle: "lowest and highest sample of each piece of time", x: { quantity: "time in the file", unit: "s", scale: "linear", range: [0, layout.total / sampleRate] }, panels };
}

/** Points that are looked at in one piece of time, no unit. */
const looks = 256;

/** Lowest and highest of scattered samples in each piece of time: the same for every repeat. */
function waveform(signal: TestSignal): { x: Float64Array; y: Float64Array } {
  const { layout, sampleRate, repeats } = signal, count = periodCount(signal);
  const pieces = Math.max(8, Math.min(count >> 1, Math.floor(800 / repeats))), width = count / pieces;
  const low = new Float64Array(pieces), high = new Float64Array(pieces), one = new Float64Array(1);
  for (let p = 0; p < pieces; p++) {
    const from = Math.floor(p * width), size = Math.max(1, Math.floor((p + 1) * width) - from), stride = Math.max(1, Math.floor(size / looks));
    for (let i = 0; i * stride < size; i++) {
      // uneven places, so that no tone hides between them
      fillPeriod(signal, one, Math.min(from + size - 1, from + i * stride + ((i * 7919) % stride)));
      low[p] = Math.min(low[p]!, one[0]!);
      high[p] = Math.max(high[p]!, one[0]!);
    }
  }
  const x: number[] = [0], y: number[] = [0];
  for (const start of layout.starts) {
    x.push(start / sampleRate);
    y.push(0);
    for (let p = 0; p < pieces; p++) {
      x.push((start + (p + 0.25) * width) / sampleRate, (start + (p + 0.75) * width) / sampleRate);
      y.push(p % 2 === 0 ? low[p]! : high[p]!, p % 2 === 0 ? high[p]! : low[p]!);
    }
    x.push((start + count) / sampleRate);
    y.push(0);
  }
  x.push(layout.total / sampleRate);
  y.push(0);
  return { x: Float64Array.from(x), y: Float64Array.from(y) };
}

function frequencyCourse({ layout, sampleRate, sweep, steps, sweepDuration }: TestSignal): { x: Float64Array; y: Float64Array } | undefined {
  const x: number[] = [], y: number[] = [];
  for (const start of layout.starts) {
    const t0 = start / sampleRate;
    if (sweep !== undefined) {
      for (let i = 0; i <= 50; i++) {
        x.push(t0 + (i / 50) * sweepDuration);
        y.push(sweepFrequency(sweep, (i / 50) * sweepDuration));
      }
    } else if (steps !== undefined) {
      for (const step of steps) {
        x.push(t0 + step.start / sampleRate, t0 + step.end / sampleRate);
        y.push(step.frequency, step.frequency);
      }
    } else return undefined;
    x.push(t0 + sweepDuration);
    y.push(NaN);
  }
  return { x: Float64Array.from(x), y: Float64Array.from(y) };
}

function spectrumFigure(signal: TestSignal, spectrum: SignalSpectrum | undefined): Figure[] {
  const { sweep, band, name } = signal, traces: Trace[] = [];
  const level = (density: number): number => 10 * Math.log10(density);
  if (spectrum !== undefined) {
    const top = spectrum.density.reduce((most, x) => Math.max(most, x), 0);
    traces.push({ name: "of the samples", x: spectrum.frequencies, y: spectrum.density.map((x) => (x > 1e-9 * top ? level(x) : NaN)), role: "prediction" });
  }
  // one-sided: twice the square of the two-sided magnitude
  if (sweep !== undefined) traces.push({ name: "3.01 dB less each octave", x: Float64Array.from(band), y: Float64Array.from(band, (f) => level(2 * sweepSpectrum(sweep, f) ** 2)), role: "comparison" });
  if (traces.length === 0) return [];
  return [{
    kind: "figure",
    title: `Spectrum of ${name}`,
    subtitle: spectrum === undefined ? "by its formula: too long for a transform" : "one period, 24 bands an octave",
    x: { quantity: "frequency", unit: "Hz", scale: "log", range: [band[0] / 2, Math.min(signal.sampleRate / 2, band[1] * 2)] },
    panels: [{ quantity: "energy per Hz", unit: "dB re 1 full scale^2 s/Hz", traces }],
  }];
}
