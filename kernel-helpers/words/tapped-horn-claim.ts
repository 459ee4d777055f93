import type { Prediction } from "../../src/predict/predict.js";
import { type ClaimResult, type TappedHornClaim, tappedHornClaim as testClaim } from "../../src/predict/tapped-horn-claim.js";
import { equalityNotes } from "../../src/predict/equal.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Band, Figure, Panel, Showable, Text, Trace, TraceRole } from "../show/view.js";
import { checkPrediction } from "./compare.js";
import { bandFrom } from "./merit-words.js";
import { conditions } from "./prediction-plots.js";

/** What the claims are tested on. */
export interface TappedHornClaimWords {
  /** prediction of the tapped horn */
  readonly horn: Prediction;
  /** prediction of a vented box of like size and extension */
  readonly vented: Prediction;
  /** prediction of a closed box of like size */
  readonly closed: Prediction;
  /** lower and upper end, Hz or ["30 Hz", "120 Hz"] */
  readonly band: readonly [QuantityInput, QuantityInput];
}

/**
 * Tests two claims of the trade over a band and shows where they hold: that a tapped horn has less group delay (s) than a vented box of like size and
 * extension, and that its phase (rad) is nearly as shallow as that of a closed box.
 *
 * ```ts
 * await air.show(air.tappedHornClaim({ horn: yard, vented: air.predict(vented), closed: air.predict(closed), band: ["30 Hz", "120 Hz"] }));
 * ```
 *
 * @throws InputError  when one is not a prediction, frequencies differ, or the band leaves them
 */
export function tappedHornClaim(options: TappedHornClaimWords): TappedHornClaim & Showable {
  checkKeys("tappedHornClaim", options, ["horn", "vented", "closed", "band"]);
  const { horn, vented, closed } = options;
  for (const [name, p] of Object.entries({ horn, vented, closed })) checkPrediction(p, `tappedHornClaim.${name}`);
  const claim = testClaim({ horn, vented, closed }, bandFrom(options.band, "tappedHornClaim.band"));
  return makeShowable(
    { ...claim },
    () => [summary(claim, options), delayFigure(claim, options), phaseFigure(claim, options)],
    () => `claims about "${horn.design.name}": less group delay in ${percent(claim.lowerDelay)} of the band, shallow phase in ${percent(claim.shallowPhase)}`,
  );
}

function summary(claim: TappedHornClaim, { horn, vented, closed }: TappedHornClaimWords): Text {
  const band = `${formatQuantity(claim.frequencies[0]!, "Hz")} to ${formatQuantity(claim.frequencies.at(-1)!, "Hz")}`;
  const where = (result: ClaimResult): string => (result.spans.length === 0 ? "nowhere" : result.spans.map(([a, b]) => `${formatQuantity(a, "Hz")} to ${formatQuantity(b, "Hz")}`).join(", "));
  return {
    kind: "text",
    title: `Two claims about a tapped horn, ${band}`,
    paragraphs: [
      `"Less group delay than a vented box of like size and extension": between "${horn.design.name}" and "${vented.design.name}" it holds in ${percent(claim.lowerDelay)} of the band (counted in octaves): ${where(claim.lowerDelay)}.`,
      `"A phase nearly as shallow as that of a closed box": the phase, counted from the upper end of the band downwards, has turned by an amount nearer to that of "${closed.design.name}" than to that of "${vented.design.name}" in ${percent(claim.shallowPhase)} of the band: ${where(claim.shallowPhase)}.`,
      "Both claims are common practice without a source. How they are tested is defined here; another reading gives other spans.",
    ],
    notes: equalityNotes([horn.design, vented.design, closed.design]),
  };
}

function delayFigure(claim: TappedHornClaim, { horn, vented, closed }: TappedHornClaimWords): Figure {
  const f = claim.frequencies;
  const line = (p: Prediction, role: TraceRole): Trace => ({ name: p.design.name, x: p.frequencies, y: p.groupDelay.map((s) => s * 1e3), role });
  const margin = claim.lowerDelay.margin.map((s) => s * 1e3);
  const difference: Trace = { name: `${vented.design.name} minus ${horn.design.name}`, x: f, y: margin, role: "residual" };
  return figureOf("Group delay: tapped horn against vented and closed box", [horn, vented, closed], f, [
    { quantity: "group delay", unit: "ms", weight: 2, traces: [line(horn, "prediction"), line(vented, "comparison"), line(closed, "comparison")] },
    { quantity: "difference of group delay", unit: "ms", traces: [difference], bands: [holds(f, margin, "the claim holds: less group delay")] },
  ]);
}

function phaseFigure(claim: TappedHornClaim, { horn, vented, closed }: TappedHornClaimWords): Figure {
  const f = claim.frequencies;
  const degrees = (values: Float64Array): Float64Array => values.map((x) => (x * 180) / Math.PI);
  const line = (p: Prediction, turn: Float64Array, role: TraceRole): Trace => ({ name: p.design.name, x: f, y: degrees(turn), role });
  const margin = degrees(claim.shallowPhase.margin);
  return figureOf("Turn of the phase from the upper end of the band: tapped horn against vented and closed box", [horn, vented, closed], f, [
    { quantity: "turn of the phase", unit: "degrees", weight: 2, traces: [line(horn, claim.turns.horn, "prediction"), line(vented, claim.turns.vented, "comparison"), line(closed, claim.turns.closed, "comparison")] },
    { quantity: "nearer to the closed box by", unit: "degrees", range: rangeAround(margin, 45), traces: [{ name: "distance to the vented box minus distance to the closed box", x: f, y: margin, role: "residual" }], bands: [holds(f, margin, "the claim holds: nearer to the closed box")] },
  ]);
}

function figureOf(title: string, predictions: readonly Prediction[], f: Float64Array, panels: readonly Panel[]): Figure {
  return { kind: "figure", title, subtitle: conditions(predictions), x: { quantity: "frequency", unit: "Hz", scale: "log", range: [f[0]!, f[f.length - 1]!] }, panels };
}

/** Range that holds all values and zero, on multiples of a step. */
function rangeAround(values: Float64Array, step: number): readonly [number, number] {
  const low = values.reduce((a, b) => Math.min(a, b), 0), high = values.reduce((a, b) => Math.max(a, b), 0);
  return [Math.floor(low / step - 0.1) * step, Math.ceil(high / step + 0.1) * step];
}

/** Shading between zero and a margin where it is positive. */
function holds(f: Float64Array, margin: Float64Array, name: string): Band {
  return { name, x: f, low: margin.map((x) => (x > 0 ? 0 : NaN)), high: margin.map((x) => (x > 0 ? x : NaN)), role: "residual" };
}

function percent(result: ClaimResult): string {
  return `${Math.round(100 * result.share)} %`;
}
