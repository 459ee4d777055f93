import { type Curve, magnitude, wrappedPhase } from "../../src/math/curve.js";
import type { FittedTrace } from "../../src/measure/driver-fit.js";
import type { Estimate, ResidualNoise } from "../../src/measure/fit-intervals.js";
import type { Note } from "../../src/notes.js";
import { formatNumber, formatQuantity } from "../quantity.js";
import type { Figure, Panel, Trace } from "../show/view.js";

/** Measured impedance, fit and, where there is one, what was modelled; phase and what is left under it. */
export function fitFigure(title: string, { measured, fitted }: FittedTrace, options: { readonly subtitle: string; readonly modelled?: Curve; readonly notes?: readonly Note[] }): Figure {
  const { modelled } = options, x = measured.frequencies, size = magnitude(measured);
  const lines = (y: (curve: Curve) => Float64Array): Trace[] => [
    // the thin measured line lies on the thick one, so that both are seen where they agree
    { name: "fit", x, y: y(fitted), role: "prediction" },
    { name: "measured", x, y: y(measured), role: "measurement" },
    ...(modelled === undefined ? [] : [{ name: "modelled", x: modelled.frequencies, y: y(modelled), role: "comparison" as const }]),
  ];
  const panels: Panel[] = [{ quantity: "impedance", unit: "ohm", scale: "log", weight: 3, traces: lines(magnitude) }];
  if (measured.phaseKnown) panels.push({ quantity: "phase", unit: "degrees", weight: 1.5, traces: lines((curve) => wrappedPhase(curve).map((angle) => (angle * 180) / Math.PI)) });
  const part = (of: (i: number) => number): Float64Array => Float64Array.from(x, (_, i) => (100 * of(i)) / size[i]!);
  const residuals: Trace[] = measured.phaseKnown
    ? [
        { name: "residual, real part", x, y: part((i) => fitted.re[i]! - measured.re[i]!), role: "residual" },
        { name: "residual, imaginary part", x, y: part((i) => fitted.im[i]! - measured.im[i]!), role: "faint" },
      ]
    : [{ name: "residual", x, y: part((i) => Math.hypot(fitted.re[i]!, fitted.im[i]!) - size[i]!), role: "residual" }];
  panels.push({ quantity: "fit minus measured", unit: "% of magnitude", weight: 1, traces: residuals });
  return { kind: "figure", title, subtitle: `fitted from ${formatQuantity(x[0]!, "Hz")} to ${formatQuantity(x[x.length - 1]!, "Hz")}; ${options.subtitle}`, x: { quantity: "frequency", unit: "Hz", scale: "log" }, panels, notes: options.notes ?? [] };
}

/** "noise 0.8 % of the magnitude". */
export function noiseText(noise: ResidualNoise): string {
  return `${noise.hasStructure ? "what is left" : "noise"}: ${formatNumber(100 * noise.relative, 2)} % of the magnitude`;
}

/** Value, half width and half width in percent as cells of a table; a value whose interval has no upper end is "above" its lower one. */
export function estimateCells({ value, halfWidth, unit, interval }: Pick<Estimate, "value" | "halfWidth" | "unit" | "interval">): readonly [string, string, string] {
  if (interval !== undefined && interval[1] === Infinity) return [`above ${formatQuantity(interval[0], unit, 2)}`, "no upper end", "-"];
  if (interval !== undefined) return [formatQuantity(value, unit, 4), `${formatQuantity(interval[0], unit, 3)} to ${formatQuantity(interval[1], unit, 3)}`, "-"];
  const share = Math.abs((100 * halfWidth) / value);
  return [formatQuantity(value, unit, 4), Number.isFinite(halfWidth) ? formatQuantity(halfWidth, unit, 2) : "not told", Number.isFinite(share) ? `${formatNumber(share, 2)} %` : "-"];
}

/** "fB 36.1 Hz +- 0.2 Hz", "QL 14 (12 to 17)", "QL above 480" or "n 1 (interval not told)". */
export function estimateText(e: Estimate): string {
  const [value, half] = estimateCells(e);
  if (e.interval !== undefined) return `${e.name} ${value}${e.interval[1] === Infinity ? "" : ` (${half})`}`;
  return Number.isFinite(e.halfWidth) ? `${e.name} ${value} +- ${half}` : `${e.name} ${value} (interval not told)`;
}
