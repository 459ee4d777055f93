import type { Driver } from "../../src/driver/parameters.js";
import { compareDriver, type ParameterDeviation, type SameDriver, type ToldParameter, usualTolerance } from "../../src/measure/same-driver.js";
import { classicalResonance, usualBand } from "../../src/measure/resonance-peak.js";
import { checkKeys } from "../options.js";
import { formatNumber, formatQuantity, type QuantityInput } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable, View } from "../show/view.js";
import { driverFrom as driverIn } from "./enclosure-words.js";
import { fitFigure, noiseText } from "./impedance-figures.js";
import { bandWords, type ImpedanceSource, searched, shareFrom, traceFrom } from "./impedance-words.js";
import type { BandInput } from "./measure.js";

/** How a measured driver is compared. */
export interface SameDriverWords {
  /** how far Re, fs, Qms, Qes, Qts, Zmax, "Bl^2 / Mms" and coil may differ, such as { fs: "5 %" }; usual ones of a series where missing */
  readonly tolerance?: Partial<Readonly<Record<ToldParameter, QuantityInput>>>;
  /** what of the sweep is used; all, and with a plain coil up to ten times the measured resonance, when missing */
  readonly band?: BandInput;
}

/**
 * Whether a driver is the one that was modelled: the deviation of each parameter that its impedance in free air tells (no unit), with 95 % interval and verdict. Await it.
 *
 * ```ts
 * const check = await air.sameDriver(await air.readSweep("free-air.csv"), woofer);
 * ```
 *
 * @throws InputError  where an option is wrong or the sweep does not show the resonance
 */
export async function sameDriver(sweep: ImpedanceSource, driver: Driver, options: SameDriverWords = {}): Promise<SameDriver & Showable> {
  checkKeys("sameDriver", options, ["tolerance", "band"]);
  const modelled = driverIn(driver, "sameDriver"), parts = Object.keys(usualTolerance) as ToldParameter[];
  if (options.tolerance !== undefined) checkKeys("sameDriver.tolerance", options.tolerance, parts);
  const tolerance = Object.fromEntries(parts.flatMap((part) => (options.tolerance?.[part] === undefined ? [] : [[part, shareFrom(options.tolerance[part], `sameDriver.tolerance.${part}`)]])));
  const band = bandWords(options.band, "sameDriver.band"), whole = traceFrom(sweep, "sameDriver", band);
  // the resonance that was measured: it may be another driver
  const trace = band !== undefined ? whole : traceFrom(sweep, "sameDriver", usualBand(modelled.coil === undefined || modelled.coil.kind === "plain", classicalResonance(whole, "sameDriver").fs));
  const found = await searched(`Is it "${modelled.name}"?`, compareDriver(trace, modelled, { tolerance }));
  return makeShowable({ ...found }, () => viewsOf(found, modelled), () => sentenceOf(found, modelled));
}

/** "fs differs by +12 % +- 0.4 % (10 % allowed)". */
function deviationText(p: ParameterDeviation): string {
  return `${p.name} differs by ${percent(p.deviation)} +- ${formatNumber(100 * p.deviationHalfWidth, 2)} %`;
}

function sentenceOf({ verdict, parameters, noise }: SameDriver, { name }: Driver): string {
  const off = parameters.filter((p) => p.verdict === "differs"), open = parameters.filter((p) => p.verdict === "cannot be told");
  if (verdict === "other") return `not the driver "${name}" as modelled: ${off.map(deviationText).join(", ")}`;
  // the parameters agree; that the model of a driver does not follow the curve to the noise is another thing
  const but = noise.hasStructure ? `, with intervals ${noise.widening.toFixed(1)} times as wide for what no driver of this model follows` : "";
  return verdict === "same" ? `the driver "${name}" as modelled: every parameter that a sweep in free air tells is within its tolerance${but}; Mms, Cms, Vas and Bl one by one are not among them (twice the mass on half the compliance looks the same)` : `nothing speaks against "${name}", but ${open.map((p) => p.name).join(", ")} cannot be told${but}`;
}

function viewsOf(found: SameDriver, driver: Driver): readonly View[] {
  return [
    { kind: "text", title: `Is it "${driver.name}"?`, paragraphs: [`${capital(sentenceOf(found, driver))}.`] },
    {
      kind: "table",
      title: `${driver.name}: parameters modelled and measured`,
      columns: ["parameter", "modelled", "measured", "+- (95 %)", "differs by", "tolerance", "verdict"],
      rows: found.parameters.map((p) => [p.name, formatQuantity(p.modelled, p.unit, 4), formatQuantity(p.measured, p.unit, 4), formatQuantity(p.halfWidth, p.unit, 2), `${percent(p.deviation)} +- ${formatNumber(100 * p.deviationHalfWidth, 2)} %`, `${formatNumber(100 * p.tolerance)} %`, p.verdict]),
      notes: found.notes,
    },
    fitFigure(`${driver.name}: impedance in free air, measured, modelled and fitted`, found.trace, { subtitle: `${found.weights}; ${noiseText(found.noise)}`, modelled: found.modelled }),
  ];
}

function percent(value: number): string {
  return `${value < 0 ? "-" : "+"}${formatNumber(Math.abs(100 * value), 3)} %`;
}

function capital(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}
