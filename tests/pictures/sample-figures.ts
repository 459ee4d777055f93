import type { Figure } from "../../kernel-helpers/show/view.js";
import { remark, warning } from "../../src/notes.js";

// Invented curves with the look of the real ones; every value comes from the formulas below.

function frequencies(from: number, to: number, perOctave: number): Float64Array {
  const count = Math.floor(Math.log2(to / from) * perOctave) + 1;
  return Float64Array.from({ length: count }, (_, i) => from * 2 ** (i / perOctave));
}

function map(x: Float64Array, value: (x: number, i: number) => number): Float64Array {
  return Float64Array.from(x, value);
}

function level(shift: number, peak: number): (f: number) => number {
  return (f) => {
    const low = -10 * Math.log10(1 + (38 * shift / f) ** 8);
    const ripple = peak * Math.sin(6 * Math.log(f / 30)) * Math.exp(-((Math.log(f / 110)) ** 2));
    const notch = -24 * Math.exp(-(((f - 212 * shift) / 9) ** 2));
    return 101 + low + ripple + notch - 4 * Math.log2(Math.max(1, f / 260));
  };
}

/** Deterministic wiggle for the measured line. */
function wiggle(f: number): number {
  return 0.9 * Math.sin(31 * Math.log(f)) + 0.5 * Math.sin(83 * Math.log(f) + 1);
}

const model = frequencies(20, 500, 48);
const sweep = frequencies(20, 500, 96);

/** Level and residual, with a band and notes. */
export const overlayFigure: Figure = {
  kind: "figure",
  title: "Seat: measured and predicted",
  subtitle: "2.83 V, half space, 1 m; measured: invented sweep, smoothed 1/24 octave",
  x: { quantity: "frequency", unit: "Hz", scale: "log" },
  panels: [
    {
      quantity: "level", unit: "dB re 20 uPa", weight: 3,
      span: { from: 40, to: 160, name: "compared band" },
      traces: [
        { name: "prediction: tapped horn", x: model, y: map(model, level(1, 4)), role: "prediction" },
        { name: "measurement: sweep, 1 m", x: sweep, y: map(sweep, (f) => level(1.02, 4.4)(f) + wiggle(f)), role: "measurement" },
      ],
    },
    {
      quantity: "measured minus predicted", unit: "dB", weight: 1,
      span: { from: 40, to: 160, name: "compared band" },
      traces: [{ name: "residual", x: model, y: map(model, (f) => level(1.02, 4.4)(f) + wiggle(f) - level(1, 4)(f)), role: "residual" }],
    },
  ],
  notes: [
    remark("sweep", "The level was shifted by 0.8 dB to fit the band from 40 Hz to 160 Hz."),
    warning("notch", "Above 200 Hz the mesh is coarse; do not trust the depth of the notch."),
  ],
};

/** Three designs in one panel with long names and a limit. */
export const designsFigure: Figure = {
  kind: "figure",
  title: "Three designs at the same drive",
  subtitle: "28.3 V, quarter space, 2 m",
  x: { quantity: "frequency", unit: "Hz", scale: "log", range: [20, 200] },
  panels: [
    {
      quantity: "level", unit: "dB re 20 uPa",
      traces: [
        { name: "vented box, 96 L, tuned to 34 Hz", x: model, y: map(model, level(0.9, 1)), role: "prediction" },
        { name: "tapped horn, 2.3 m path folded twice", x: model, y: map(model, (f) => level(1, 5)(f) + 3), role: "prediction" },
        { name: "transmission line with 120 g of polyester wadding in the first third of the path", x: model, y: map(model, (f) => level(1.2, 2)(f) - 2), role: "prediction" },
        { name: "thermal limit", x: Float64Array.of(20, 500), y: Float64Array.of(109, 109), role: "limit" },
      ],
    },
  ],
};

/** Phase, group delay and impedance in three panels. */
export const electricalFigure: Figure = {
  kind: "figure",
  title: "Phase, group delay and impedance",
  subtitle: "tapped horn, half space, 1 m, travel time removed",
  x: { quantity: "frequency", unit: "Hz", scale: "log" },
  panels: [
    { quantity: "phase", unit: "deg", traces: [{ name: "tapped horn", x: model, y: map(model, (f) => 180 - 720 * Math.log10(f / 20)), role: "prediction" }] },
    {
      quantity: "group delay", unit: "ms",
      traces: [{ name: "tapped horn", x: model, y: map(model, (f) => 900 / f + 30 * Math.exp(-(((f - 212) / 4) ** 2))), role: "prediction" }],
    },
    {
      quantity: "impedance", unit: "ohm", scale: "log",
      traces: [
        { name: "tapped horn", x: model, y: map(model, (f) => 5.6 + 62 * Math.exp(-(((f - 42) / 7) ** 2)) + 21 * Math.exp(-(((f - 96) / 11) ** 2)) + f / 90), role: "prediction" },
        { name: "measured", x: sweep, y: map(sweep, (f) => 5.8 + 55 * Math.exp(-(((f - 43) / 7.5) ** 2)) + 24 * Math.exp(-(((f - 95) / 11) ** 2)) + f / 85), role: "measurement" },
      ],
    },
  ],
};

const along = Float64Array.from({ length: 93 }, (_, i) => i * 0.025);

/** Area along a path: linear axes, no decibels. */
export const pathFigure: Figure = {
  kind: "figure",
  title: "Area along the path",
  x: { quantity: "distance along the path", unit: "m", scale: "linear" },
  panels: [
    {
      quantity: "area", unit: "cm^2",
      traces: [
        { name: "as designed", x: along, y: map(along, (x) => 180 * Math.exp(0.66 * x)), role: "prediction" },
        { name: "as built", x: along, y: map(along, (x) => 180 * Math.exp(0.66 * x) * (x > 1.1 && x < 1.3 ? 0.86 : 1)), role: "comparison" },
      ],
    },
  ],
};

/** Names that try to be markup. */
export const awkwardFigure: Figure = {
  kind: "figure",
  title: "Names from files: <b>bold</b> & $5 or $6",
  subtitle: "a subtitle with <script>alert(1)</script> and \"quotes\"",
  x: { quantity: "frequency", unit: "Hz", scale: "log" },
  panels: [
    {
      quantity: "level", unit: "dB re 20 uPa",
      traces: [
        { name: "<img src=x onerror=alert(1)>", x: model, y: map(model, level(1, 4)), role: "prediction" },
        { name: "a & b %{y} &lt;i&gt;", x: model, y: map(model, (f) => level(1.1, 2)(f) - 3), role: "measurement" },
      ],
    },
  ],
};
