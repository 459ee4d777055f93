import { InputError } from "../../src/errors.js";
import { levelDb } from "../../src/math/curve.js";
import type { Recording } from "../../src/measure/recording.js";
import { type SteppedResponse, responseOfSteps } from "../../src/measure/stepped-response.js";
import type { TestSignal } from "../../src/measure/test-signal.js";
import { checkKeys } from "../options.js";
import { formatNumber, formatQuantity } from "../quantity.js";
import { progress } from "../show/progress.js";
import { makeShowable } from "../show/showable.js";
import type { Figure, Showable, Table, Trace } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { optionalName } from "./names.js";
import { trustedText } from "./trusted-text.js";
import type { WorkedCurve } from "./worked-curve.js";

/** How a response is taken from a recording of stepped sines. */
export interface ResponseFromStepsWords {
  /** channel of the recording that is measured, 1 for the first (when missing); no unit */
  readonly channel?: number;
  /** channel that holds the played signal by a wire (loop-back), to divide by; no unit */
  readonly reference?: number;
  /** recorder's clock over the player's less 1, in millionths (ppm), where it is known; found from the recording when missing; no unit */
  readonly driftPpm?: number;
  /** name for legends; that of the recording when missing */
  readonly name?: string;
}

/** A response by stepped sines: it can be worked on, calibrated and overlaid. */
export type ResponseBySteps = SteppedResponse & WorkedCurve & Showable;

const word = "responseFromSteps", keys = ["channel", "reference", "driftPpm", "name"] as const;
const orderNames = ["second harmonic", "third harmonic", "fourth harmonic", "fifth harmonic"];

/**
 * Response (recorded full scale per played full scale) and harmonics 2 to 5 (dB re fundamental) at each step of a recording of stepped sines.
 *
 * ```ts
 * const heard = await air.responseFromSteps(recording, sines, { reference: 2 });
 * ```
 *
 * Finds the steps and the drift between the clocks (ppm); trusts what stands 10 dB out of the noise and had settled.
 *
 * @param recording  from `readRecording`
 * @param signal     from `steppedSines` or `readSignal`: what was played
 * @throws InputError  when an option is wrong, or the recording does not hold the signal
 */
export async function responseFromSteps(recording: Recording, signal: TestSignal, options: ResponseFromStepsWords = {}): Promise<ResponseBySteps> {
  checkKeys(word, options, keys);
  const is = (thing: unknown, key: string): boolean => typeof thing === "object" && thing !== null && key in thing;
  for (const [thing, what, key, example] of [[recording, "a recording", "channels", 'await air.readRecording("...")'], [signal, "a test signal", "layout", 'await air.readSignal("...")']] as const) {
    if ((thing as unknown) instanceof Promise) throw new InputError({ where: word, came: "a reading that is not finished", expected: `${what} is expected`, hint: `write await before it: ${example}` });
    if (!is(thing, key)) throw new InputError({ where: word, came: shownValue(thing), expected: `${what} is expected, such as ${example}` });
  }
  const { channel, reference, driftPpm } = options, name = optionalName(options.name, `${word}.name`);
  if (driftPpm !== undefined && !(typeof driftPpm === "number" && Math.abs(driftPpm) <= 5000)) throw new InputError({ where: `${word}.driftPpm`, came: shownValue(driftPpm), expected: "a number of millionths from -5000 to 5000 is expected" });
  const steps = responseOfSteps(recording, signal, { ...(channel === undefined ? {} : { channel }), ...(reference === undefined ? {} : { reference }), ...(driftPpm === undefined ? {} : { driftPpm }), ...(name === undefined ? {} : { name }) });
  const bar = progress(`response of ${name ?? recording.name}`, 100);
  try {
    for (;;) {
      const next = steps.next();
      if (next.done === true) {
        const result = { ...next.value, name: next.value.curve.name, steps: [`response by ${signal.name}`] };
        return makeShowable(result, () => [stepsTable(next.value, signal), stepsFigure(next.value)], () => `response of "${result.name}" at ${result.curve.frequencies.length} frequencies by stepped sines`);
      }
      await bar.step(Math.round(100 * next.value.part), next.value.text);
    }
  } finally {
    bar.done();
  }
}

function stepsTable({ curve, drift, repeats, start, signalToNoiseDb, notes, ...rest }: SteppedResponse, signal: TestSignal): Table {
  const sorted = [...signalToNoiseDb].sort((a, b) => a - b);
  const rows: [string, string][] = [
    ["signal", signal.name],
    ["start of the played file in the recording", formatQuantity(start, "s")],
    ["recorder's clock over the player's", Number.isFinite(drift.standardError) ? `${drift.ppm >= 0 ? "+" : ""}${drift.ppm.toFixed(2)} +- ${formatNumber(Math.max(0.01, drift.standardError), 2)} ppm, from ${drift.from}` : "could not be told"],
    ["repeats used", String(repeats)],
    ["signal to noise", `${formatNumber(sorted[sorted.length >> 1]!, 3)} dB (median), ${formatNumber(sorted[0]!, 3)} dB (least)`],
    ["trusted (10 dB signal to noise or more, settled)", trustedText({ curve, signalToNoiseDb, notes, ...rest })],
  ];
  return { kind: "table", title: `Response of ${curve.name} by stepped sines`, columns: ["what", "value"], rows, notes };
}

/** Level above, harmonics over the fundamental under it. */
function stepsFigure(result: SteppedResponse): Figure {
  const { curve, trusted, harmonics } = result, db = levelDb(curve), x = curve.frequencies;
  const only = (mark: number): Float64Array => db.map((value, i) => (trusted[i] === mark ? value : NaN));
  const traces: Trace[] = [{ name: "response", x, y: only(1), role: "measurement" }];
  if (trusted.includes(0)) traces.push({ name: "response, not trusted", x, y: only(0), role: "faint" });
  const orders = harmonics.filter(({ relativeDb }) => relativeDb.some((value) => !Number.isNaN(value)));
  return {
    kind: "figure", title: `${curve.name}: response and distortion by stepped sines`, x: { quantity: "frequency", unit: "Hz", scale: "log" },
    panels: [
      { quantity: "transfer", unit: "dB re played full scale", traces, weight: 2 },
      { quantity: "harmonics", unit: "dB re fundamental", traces: orders.map(({ order, relativeDb }) => ({ name: orderNames[order - 2]!, x, y: relativeDb, role: "comparison" as const })), weight: 1 },
    ],
  };
}
