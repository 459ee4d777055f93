import type { Design } from "../../src/enclosure/design.js";
import type { Driver } from "../../src/driver/parameters.js";
import { type BoxTuning, fitBoxTuning } from "../../src/measure/box-tuning.js";
import { type DesignPart, fitLeak, type LeakFit, usualSpread } from "../../src/measure/leak-fit.js";
import { usualBand } from "../../src/measure/resonance-peak.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { formatNumber, formatQuantity, type QuantityInput } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable, View } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { airFrom, type AirOptions } from "./air.js";
import type { MeasuredDriver } from "./driver-from.js";
import { driverFrom as driverIn } from "./enclosure-words.js";
import { estimateCells, estimateText, fitFigure, noiseText } from "./impedance-figures.js";
import { bandWords, givenFrom, type ImpedanceSource, searched, shareFrom, traceFrom } from "./impedance-words.js";
import type { BandInput } from "./measure.js";

/** What is known of a vented box whose impedance was measured. */
export interface BoxTuningWords {
  /** the driver in it, from `driver` or `driverFrom` (whose interval of Vas then counts) */
  readonly driver: Driver;
  /** net volume as built, to be compared: m^3, or "28 L +- 2 %" */
  readonly volume?: QuantityInput;
  /** what of the sweep is used; all, and with a plain coil up to ten times the driver's resonance, when missing */
  readonly band?: BandInput;
}

/**
 * Tuning fB (Hz), volume ratio and loss QL of a vented box from its impedance, with fL, fM, fH and 95 % intervals: the classical reading and the fit of the whole curve. Await it.
 *
 * ```ts
 * const tuned = await air.boxTuningFrom(await air.readSweep("vented.csv"), { driver: woofer, volume: "28 L" });
 * ```
 *
 * @throws InputError  where an option is wrong, or the sweep does not show both peaks and the dip between them
 */
export async function boxTuningFrom(sweep: ImpedanceSource, options: BoxTuningWords): Promise<BoxTuning & Showable> {
  checkKeys("boxTuningFrom", options, ["driver", "volume", "band"]);
  const driver = driverIn(options.driver, "boxTuningFrom");
  const volume = options.volume === undefined ? undefined : givenFrom(options.volume, "volume", "boxTuningFrom.volume", "volume", "28 L +- 2 %");
  const trace = traceFrom(sweep, "boxTuningFrom", bandWords(options.band, "boxTuningFrom.band") ?? usualBand(driver.coil === undefined || driver.coil.kind === "plain", driver.fs));
  const VasDeviation = (driver as Partial<MeasuredDriver>).measured?.estimates.find((e) => e.name === "Vas")?.standardError ?? 0;
  const found = await searched("Tuning of the box from its impedance", fitBoxTuning({ trace, driver, VasDeviation, volume }));
  const of = (name: string): string => estimateText(found.estimates.find((one) => one.name === name)!);
  return makeShowable({ ...found }, () => tuningViews(found), () => `box "${trace.name}": ${["fB", "alpha", "QL", "volume"].map(of).join(", ")}`);
}

function tuningViews(found: BoxTuning): readonly View[] {
  const { classical } = found, name = found.trace.measured.name;
  const meanings: Readonly<Record<string, string>> = { fB: "tuning of box and port", fL: "lower peak", fM: "dip", fH: "upper peak", alpha: "Vas over the volume of the box", QL: "loss of the box as leakage", QP: "loss of the port", QB: "all loss together", "1 / QL": "the same, zero without loss", volume: "volume that the box acts as", Re: "resistance of the coil and leads", Le: "inductance of the voice coil", L2: "second inductance of the coil", R2: "resistance parallel to it", K: "size of K (j omega)^n", n: "exponent of K (j omega)^n", fs: "resonance of the driver in the box, without its air", Qms: "mechanical quality factor in the box", Qes: "electrical quality factor in the box" };
  const first: Readonly<Record<string, number>> = { fB: classical.fB, fL: classical.fL, fM: classical.fM, fH: classical.fH, alpha: classical.alpha, QL: classical.QL, fs: classical.fs };
  return [
    {
      kind: "table",
      title: `${name}: vented box from its impedance`,
      columns: ["what", "meaning", "value", "+- (95 %)", "+- in %", "read from peaks and dip"],
      rows: found.estimates.map((e) => [e.name, meanings[e.name] ?? "", ...estimateCells(e), first[e.name] === undefined ? "" : formatQuantity(first[e.name]!, e.unit, 4)]),
      notes: found.notes,
    },
    fitFigure(`${name}: impedance of the vented box, measured and fitted`, found.trace, { subtitle: `${found.weights}; ${noiseText(found.noise)}` }),
  ];
}

/** What a leak is looked for in. */
export interface LeakFromWords {
  /** the closed, vented or passive-radiator box as it was designed */
  readonly design: Design;
  /** how far parts may be from the design, two standard deviations: Re, coil, Bl, Mms, Cms, Rms, volume, port, such as { Cms: "10 %" }; usual ones of series drivers where missing */
  readonly spread?: Partial<Readonly<Record<DesignPart, QuantityInput>>>;
  /** what of the sweep is used; all, and with a plain coil up to ten times the driver's resonance, when missing */
  readonly band?: BandInput;
  /** air of the measurement; 20 degrees Celsius when missing */
  readonly air?: AirOptions;
}

/**
 * The leak of a box, acoustic resistance in Pa s/m^3 with its 95 % interval, from its impedance and its design; or that none can be told, and how small it then must be. Await it.
 *
 * ```ts
 * const leak = await air.leakFrom(await air.readSweep("closed.csv"), { design: box });
 * ```
 *
 * @throws InputError  where an option is wrong, or the design has no chamber behind its cone
 */
export async function leakFrom(sweep: ImpedanceSource, options: LeakFromWords): Promise<LeakFit & Showable> {
  checkKeys("leakFrom", options, ["design", "spread", "band", "air"]);
  const { design } = options;
  const whole = typeof design === "object" && design !== null && Array.isArray((design as Partial<Design>).network?.elements) && Array.isArray((design as Partial<Design>).facts);
  if (!whole) throw new InputError({ where: "leakFrom.design", came: shownValue(design), expected: "a design is expected", hint: "make it with closedBox or ventedBox first" });
  const { coil, fs } = design.driver;
  const trace = traceFrom(sweep, "leakFrom", bandWords(options.band, "leakFrom.band") ?? usualBand(coil === undefined || coil.kind === "plain", fs));
  const parts = Object.keys(usualSpread) as DesignPart[];
  if (options.spread !== undefined) checkKeys("leakFrom.spread", options.spread, parts);
  const spread = Object.fromEntries(parts.flatMap((part) => (options.spread?.[part] === undefined ? [] : [[part, shareFrom(options.spread[part], `leakFrom.spread.${part}`)]])));
  const found = await searched(`Leak of "${design.name}"`, fitLeak({ trace, design, spread, air: airFrom(options.air, "leakFrom.air") }), 135);
  return makeShowable({ ...found }, () => leakViews(found, design), () => leakSentence(found));
}

/** What the fit says of a leak, in one sentence. */
function leakSentence({ verdict, isDoubtful, resistance, interval, QL, frequency }: LeakFit): string {
  const pa = (value: number): string => formatQuantity(value, "Pa s/m^3");
  if (verdict === "wide open") return `a leak of ${pa(interval[1])} or less: the box is at least this open, or the driver was not in the box`;
  if (verdict === "not to be trusted") return `nothing can be said of a leak: what was measured is not the design, see the notes (the search ended at ${Number.isFinite(resistance) ? pa(resistance) : "no leak"}, which is not to be trusted)`;
  const doubt = isDoubtful ? "; doubtful, because parts are far from the design, see the notes" : "";
  return verdict === "leak"
    ? `leak of ${pa(resistance)}, 95 % interval ${pa(interval[0])} to ${pa(interval[1])} (QL ${formatNumber(QL)} at ${formatQuantity(frequency, "Hz")})${doubt}`
    : `no leak detectable; a leak below ${pa(interval[0])} would have shown (95 %)${doubt}`;
}

function leakViews(found: LeakFit, design: Design): readonly View[] {
  const percent = (value: number): string => `${value < 0 ? "-" : "+"}${formatNumber(Math.abs(100 * value), 2)} %`;
  return [
    {
      kind: "text",
      title: `${design.name}: leak from the impedance`,
      paragraphs: [`${leakSentence(found)}.`, ...(found.verdict === "leak" ? ["A lining that takes sound, or a frame and cap that leak, look the same: press the seals, tape the joints, measure again and see whether it goes."] : [])],
      notes: found.notes,
    },
    {
      kind: "table",
      title: `${design.name}: how the box differs from its design`,
      columns: ["what", "differs by", "+- (95 %)"],
      rows: found.deviations.map((d) => [d.name, percent(d.value), `${formatNumber(100 * d.halfWidth, 2)} %`]),
    },
    fitFigure(`${design.name}: impedance, measured, as designed and fitted with a leak`, found.trace, { subtitle: `${found.weights}; ${noiseText(found.noise)}; ${found.points} points`, modelled: found.designed }),
  ];
}
