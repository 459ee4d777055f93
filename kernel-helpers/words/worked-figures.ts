import { type Curve, levelDb, magnitude, wrappedPhase } from "../../src/math/curve.js";
import { sameNumbers } from "../../src/measure/common-frequencies.js";
import { formatQuantity } from "../quantity.js";
import type { Band, Figure, Panel, Trace } from "../show/view.js";
import type { WorkedCurve } from "./worked-curve.js";

/** Frequency, on the logarithm. */
export const frequencyAxis: Figure["x"] = Object.freeze({ quantity: "frequency", unit: "Hz", scale: "log" });

/** Standard deviations that 95 % of a normal distribution lie within, no unit. Source: JCGM 100:2008, table G.1. */
const reach = 1.959964;

/** How the size of a curve is drawn: level, ratio or impedance, in the unit of the axis. */
export function sizeAxis(curve: Curve, { relativeTo, isDifference = false }: { readonly relativeTo?: string | undefined; readonly isDifference?: boolean | undefined } = {}): { readonly quantity: string; readonly unit: string; readonly scale?: "log"; readonly values: (curve: Curve) => Float64Array } {
  if (curve.unit === "ohm") return { quantity: "impedance", unit: "ohm", scale: "log", values: magnitude };
  const quiet = (one: Curve): Float64Array => levelDb(one).map((x) => (Number.isFinite(x) ? x : NaN));
  if (relativeTo !== undefined) return { quantity: "relative level", unit: `dB re ${relativeTo}`, values: quiet };
  if (curve.unit === "Pa") return { quantity: "level", unit: "dB re 20 uPa", values: quiet };
  if (isDifference && curve.unit === "ratio") return { quantity: "difference", unit: "dB", values: quiet };
  if (curve.unit === "ratio") return { quantity: curve.quantity === "transfer" ? "transfer" : "deviation", unit: "dB", values: quiet };
  return { quantity: curve.quantity, unit: curve.unit, values: magnitude };
}

/** A line and, where marks of trust are known, its untrusted part as a faint one. */
export function trustedTraces(name: string, x: Float64Array, y: Float64Array, trusted: Uint8Array | undefined): readonly Trace[] {
  const doubted = trusted === undefined ? false : trusted.some((mark) => mark === 0);
  if (!doubted) return [{ name, x, y, role: "measurement" }];
  // the faint part reaches to its trusted neighbours, so that the line has no hole
  const isFaint = (i: number): boolean => trusted![i] === 0 || trusted![i - 1] === 0 || trusted![i + 1] === 0;
  return [
    { name, x, y: y.map((v, i) => (trusted![i] === 1 ? v : NaN)), role: "measurement" },
    { name: `${name}, not trusted`, x, y: y.map((v, i) => (isFaint(i) ? v : NaN)), role: "faint" },
  ];
}

/** First and last trusted frequency in Hz as a span; none where all or nothing is trusted. */
export function trustedSpan(x: Float64Array, trusted: Uint8Array | undefined, name: string = "trusted"): Panel["span"] {
  if (trusted === undefined || !trusted.includes(0)) return undefined;
  const first = trusted.indexOf(1), last = trusted.lastIndexOf(1);
  return first < 0 || last === first ? undefined : { from: x[first]!, to: x[last]!, name };
}

/** Size and phase of a worked curve, over the curves that it was made of. */
export function workedFigure(worked: WorkedCurve, title: string, { beside, spanName }: { readonly beside: readonly Curve[]; readonly spanName?: string | undefined }): Figure {
  const { curve, name, trusted, steps } = worked, x = curve.frequencies;
  const axis = sizeAxis(curve, worked);
  const size = axis.values(curve), span = trustedSpan(x, trusted, spanName);
  const alike = beside.filter(({ unit }) => unit === curve.unit).slice(0, 12);
  // a curve keeps its name and so its colour in both panels
  const given = (curves: readonly Curve[], values: (one: Curve) => Float64Array): Trace[] => curves.map((one): Trace => ({ name: one.name === name ? `${one.name} (given)` : one.name, x: one.frequencies, y: values(one), role: "comparison" }));
  const bands: Band[] = [];
  const half = worked.spreadDb ?? worked.standardErrorDb?.map((e) => reach * e);
  if (half !== undefined && axis.unit.startsWith("dB") && half.some((e) => e > 0)) {
    const known = half.map((e) => (e < 60 ? e : NaN));
    bands.push({ name: worked.spreadDb === undefined ? "95 % uncertainty" : "one standard deviation between positions", x, low: size.map((v, i) => v - known[i]!), high: size.map((v, i) => v + known[i]!), role: "measurement" });
  }
  const panels: Panel[] = [{
    quantity: axis.quantity, unit: axis.unit, weight: 2,
    traces: [...given(alike, axis.values), ...trustedTraces(name, x, size, trusted)],
    ...(bands.length === 0 ? {} : { bands }), ...(span === undefined ? {} : { span }), ...(axis.scale === undefined ? {} : { scale: axis.scale }),
  }];
  if (curve.phaseKnown) {
    const degrees = (one: Curve): Float64Array => wrappedPhase(one).map((p) => (p * 180) / Math.PI);
    panels.push({ quantity: "phase", unit: "degrees", weight: 1, traces: [...given(alike.filter((one) => one.phaseKnown && !samePhase(one, curve)).slice(0, 2), degrees), ...trustedTraces(name, x, degrees(curve), trusted)], ...(span === undefined ? {} : { span }) });
  }
  return { kind: "figure", title, subtitle: steps.join("; "), x: frequencyAxis, panels, notes: worked.notes };
}

/** True where a curve has the phase of another at each of the same frequencies: its line would lie beneath. */
function samePhase(a: Curve, b: Curve): boolean {
  if (!sameNumbers(a.frequencies, b.frequencies)) return false;
  return a.re.every((r, i) => {
    const [x, y] = [b.re[i]!, b.im[i]!], cross = a.im[i]! * x - r * y, along = r * x + a.im[i]! * y;
    return along >= 0 && Math.abs(cross) <= 1e-9 * along;
  });
}

/** One line for the console. */
export function workedLine({ name, curve, steps }: WorkedCurve): string {
  const { frequencies } = curve;
  return `${name}: ${curve.quantity}, ${frequencies.length} frequencies from ${formatQuantity(frequencies[0]!, "Hz")} to ${formatQuantity(frequencies[frequencies.length - 1]!, "Hz")}${steps.length === 0 ? "" : `; ${steps.join("; ")}`}`;
}
