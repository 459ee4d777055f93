import { InputError } from "../../src/errors.js";
import type { Curve } from "../../src/math/curve.js";
import type { GivenQuantity } from "../../src/measure/fit-intervals.js";
import { type ImpedanceTrace, impedanceTrace, type TraceOptions } from "../../src/measure/impedance-trace.js";
import { standardDeviation } from "../../src/search/spread.js";
import { type Dimension, type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import { hasSpread, spreadFrom } from "../quantity-spread.js";
import { progress } from "../show/progress.js";
import { shownValue } from "../shown-value.js";
import { checkedCurve } from "./curve-source.js";

/** An impedance sweep: from readSweep, a measured response, a prediction, or a curve in ohm. */
export type ImpedanceSource = Curve | { readonly curve: Curve } | { readonly impedance: Curve };

/** Takes what a word was given for a trace that fits use; what else it carries (trust, standard errors) is used. */
export function traceFrom(value: unknown, field: string, band?: readonly [number, number]): ImpedanceTrace {
  if (value instanceof Promise) throw new InputError({ where: field, came: "a reading that is not finished", expected: "a sweep is expected", hint: 'write await before it: await readSweep("...")' });
  const isCurve = (thing: unknown): thing is Curve => typeof thing === "object" && thing !== null && (["frequencies", "re", "im"] as const).every((key) => (thing as Record<string, unknown>)[key] instanceof Float64Array);
  const thing = (typeof value === "object" && value !== null ? value : {}) as { readonly curve?: unknown; readonly impedance?: unknown; readonly trusted?: unknown; readonly standardErrorDb?: unknown };
  const curve = [value, thing.curve, thing.impedance].find(isCurve);
  if (curve === undefined) throw new InputError({ where: field, came: shownValue(value), expected: "an impedance sweep is expected, such as one from readSweep" });
  checkedCurve(curve, field);
  const n = curve.frequencies.length, options: TraceOptions = {
    band,
    ...(thing.trusted instanceof Uint8Array && thing.trusted.length === n ? { trusted: thing.trusted } : {}),
    ...(thing.standardErrorDb instanceof Float64Array && thing.standardErrorDb.length === n ? { standardErrorDb: thing.standardErrorDb } : {}),
  };
  return impedanceTrace(curve, field, options);
}

/** A quantity with or without spread, such as "12 g +- 0.1 g", SI unit; without one it counts as exact. */
export function givenFrom(value: QuantityInput | undefined, dimension: Dimension, field: string, name: string, example: string): GivenQuantity {
  if (value === undefined) throw new InputError({ where: field, came: "nothing", expected: `a ${name} is expected, such as "${example}"` });
  if (typeof value !== "string" || !hasSpread(value)) return { name, value: toPositiveSI(value, dimension, field), standardDeviation: 0 };
  const spread = spreadFrom(value, dimension, field, (text, d, f) => toSI(text, d, f));
  if (!(spread.value > 0)) throw new InputError({ where: field, came: shownValue(value), expected: `a ${name} above zero is expected` });
  return { name, value: spread.value, standardDeviation: standardDeviation(spread) };
}

/** A relative spread or tolerance, such as "5 %" or "+- 5 %", no unit. */
export function shareFrom(value: QuantityInput, field: string): number {
  return toPositiveSI(typeof value === "string" ? value.replace(/^\s*(?:\u00b1|\+\s?\/?\s?-)\s*/, "") : value, "none", field);
}

/** Two frequencies, Hz; undefined when none are given. */
export function bandWords(value: unknown, field: string): readonly [number, number] | undefined {
  if (value === undefined) return undefined;
  if (!Array.isArray(value) || value.length !== 2) throw new InputError({ where: field, came: shownValue(value), expected: 'two frequencies are expected, such as ["5 Hz", "500 Hz"]' });
  return [toPositiveSI(value[0] as QuantityInput, "frequency", `${field} (from)`), toPositiveSI(value[1] as QuantityInput, "frequency", `${field} (to)`)];
}

/** Longest time without a bar, ms. */
const patience = 1000;

/** Runs a search to its end; the kernel can be interrupted between its steps, and a bar shows how far it is when it takes more than a second. */
export async function searched<T>(title: string, search: Generator<{ readonly steps: number }, T>, most = 90): Promise<T> {
  // time decides only whether a bar is drawn, never what comes out
  const start = Date.now(), bar = progress(title, most);
  let total = 0, last = 0;
  try {
    for (;;) {
      const next = search.next();
      if (next.done === true) return next.value;
      total += next.value.steps > last ? next.value.steps - last : next.value.steps;
      last = next.value.steps;
      if (Date.now() - start > patience) await bar.step(Math.min(most - 1, total), "steps of the search");
      else await new Promise<void>((resume) => setImmediate(resume));
    }
  } finally {
    bar.done();
  }
}
