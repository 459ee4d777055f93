import type { Figure } from "../../kernel-helpers/show/view.js";

// Invented values; all of them come from the formulas below.

const frequencies = Float64Array.from({ length: 121 }, (_, i) => 20 * 25 ** (i / 120));
const distance = Float64Array.from({ length: 81 }, (_, i) => (i * 2.4) / 80);

/** Level of a standing wave between a closed and an open end, dB. */
function standing(f: number, x: number): number {
  const k = (2 * Math.PI * f) / 343;
  return 110 + 20 * Math.log10(Math.hypot(Math.cos(k * x), 0.08) / Math.hypot(Math.cos(k * 2.55), 0.1));
}

/** A shaded band with a gap behind its line. */
export const bandFigure: Figure = {
  kind: "figure",
  title: "Level with what its uncertainty leaves open",
  subtitle: "2.83 V, half space, 1 m; invented",
  x: { quantity: "frequency", unit: "Hz", scale: "log" },
  panels: [
    {
      quantity: "level", unit: "dB re 20 uPa",
      traces: [{ name: "nominal", x: frequencies, y: frequencies.map((f) => 95 - 10 * Math.log10(1 + (45 / f) ** 4)), role: "prediction" }],
      bands: [{ name: "10 % to 90 %", x: frequencies, role: "prediction", low: frequencies.map((f, i) => (i > 70 && i < 76 ? NaN : 93.5 - 10 * Math.log10(1 + (48 / f) ** 4))), high: frequencies.map((f) => 96.5 - 10 * Math.log10(1 + (42 / f) ** 4)) }],
    },
  ],
};

/** Colours over frequency and distance, with two marks. */
export const heatMapFigure: Figure = {
  kind: "figure",
  title: "Sound pressure along a pipe",
  subtitle: "closed at 0 m, open at 2.4 m; invented",
  x: { quantity: "frequency", unit: "Hz", scale: "log" },
  panels: [
    {
      quantity: "distance along the path", unit: "m",
      traces: [["front tap", 0.2], ["back tap", 2.1]].map(([name, at]) => ({ name: String(name), x: Float64Array.of(20, 500), y: Float64Array.of(Number(at), Number(at)), role: "limit" as const })),
      map: { quantity: "level", unit: "dB re 20 uPa", x: frequencies, y: distance, values: Float64Array.from({ length: 121 * 81 }, (_, k) => (k === 5000 ? NaN : standing(frequencies[k % 121]!, distance[Math.floor(k / 121)]!))), range: [90, 130] },
    },
  ],
};

const places = Float64Array.of(30, 60, 90, 120, 180, 240);
const wave = (f: number, degrees: number): Float64Array => distance.map((x) => Math.cos((2 * Math.PI * f * x) / 343) * Math.cos((degrees * Math.PI) / 180));

/** Two panels whose lines a slider changes. */
export const sliderFigure: Figure = {
  kind: "figure",
  title: "Sound pressure along a pipe by frequency",
  subtitle: "invented",
  x: { quantity: "distance along the path", unit: "m", scale: "linear" },
  panels: [
    { quantity: "level", unit: "dB re 20 uPa", range: [80, 140], traces: [{ name: "level", x: distance, y: distance.map((x) => standing(90, x)), role: "prediction" }] },
    { quantity: "pressure re the largest", unit: "", range: [-1.05, 1.05], traces: [0, 60].map((degrees) => ({ name: `at ${degrees}\u00b0`, x: distance, y: wave(90, degrees), role: degrees === 0 ? ("comparison" as const) : ("faint" as const) })) },
  ],
  slider: { quantity: "frequency", unit: "Hz", places, start: 2, states: Array.from(places, (f) => ({ y: [distance.map((x) => standing(f, x)), wave(f, 0), wave(f, 60)] })) },
};
