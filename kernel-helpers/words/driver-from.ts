import { InputError } from "../../src/errors.js";
import { standardAir } from "../../src/air/air.js";
import { parameterMeanings } from "../../src/driver/parameter-units.js";
import type { Driver } from "../../src/driver/parameters.js";
import type { CoilKind } from "../../src/measure/coil-fit.js";
import { type DriverFit, fitDriver, type SecondSweep } from "../../src/measure/driver-fit.js";
import type { GivenQuantity } from "../../src/measure/fit-intervals.js";
import { classicalResonance, usualBand } from "../../src/measure/resonance-peak.js";
import { remark } from "../../src/notes.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable, Table, View } from "../show/view.js";
import { airFrom, type AirOptions } from "./air.js";
import type { DriverOptions } from "./driver.js";
import { driverToJson } from "./driver-json.js";
import { estimateCells, estimateText, fitFigure, noiseText } from "./impedance-figures.js";
import { bandWords, givenFrom, type ImpedanceSource, searched, traceFrom } from "./impedance-words.js";
import type { BandInput } from "./measure.js";
import { nameFrom, oneOf } from "./names.js";

/** Sweeps from which the parameters of a driver follow. */
export interface DriverFromWords {
  /** impedance of the driver in free air, held still, far from walls */
  readonly freeAir: ImpedanceSource;
  /** the same with a mass on the cone, such as { sweep: loaded, mass: "12 g +- 0.1 g" }; or knownVolume */
  readonly addedMass?: { readonly sweep: ImpedanceSource; readonly mass: QuantityInput };
  /** the same on a closed box of known net volume, such as { sweep: loaded, volume: "8 L +- 2 %" }; or addedMass */
  readonly knownVolume?: { readonly sweep: ImpedanceSource; readonly volume: QuantityInput };
  /** effective diameter of the cone, half of the surround on either side counted: m, or "13 cm +- 2 mm"; or Sd */
  readonly diameter?: QuantityInput;
  /** effective area of the cone: m^2, or "133 cm^2 +- 3 %"; or diameter */
  readonly Sd?: QuantityInput;
  /** model of the voice coil; when missing "plain", or the one that the sweeps ask for where that leaves more than noise */
  readonly coil?: CoilKind;
  /** what of the sweeps is used; all, and with a plain coil up to ten times the resonance, when missing */
  readonly band?: BandInput;
  /** name of the driver; "measured driver" when missing */
  readonly name?: string;
  /** air of the measurement; 20 degrees Celsius when missing */
  readonly air?: AirOptions;
}

/** A driver from its measured impedance. */
export type MeasuredDriver = Driver &
  Showable & {
    /** the fit: parameters with intervals, curves, noise, notes */
    readonly measured: DriverFit;
    /** what `driver` takes to make it again, plain SI numbers; add Xmax, power or impedance there */
    readonly words: DriverOptions;
  };

/**
 * Small-signal parameters of a driver, SI units, from its impedance in free air and a second sweep with a mass on the cone, or on a closed box of known volume; each with its 95 % interval. Await it.
 *
 * ```ts
 * const woofer = await air.driverFrom({ freeAir: alone, addedMass: { sweep: loaded, mass: "12 g +- 0.1 g" }, diameter: "13 cm +- 2 mm", coil: "eddy branch", name: "my woofer" });
 * const box = air.closedBox({ driver: woofer, volume: "12 L" });
 * const complete = air.driver({ ...woofer.words, Xmax: "6 mm" });
 * ```
 *
 * @throws InputError  where an option is wrong, a sweep misses the resonance or has too few points on it, mass or volume moved it too little, or the sweeps do not tell the coil
 */
export async function driverFrom(options: DriverFromWords): Promise<MeasuredDriver> {
  checkKeys("driverFrom", options, ["freeAir", "addedMass", "knownVolume", "diameter", "Sd", "coil", "band", "name", "air"]);
  const { addedMass, knownVolume } = options;
  if ((addedMass === undefined) === (knownVolume === undefined)) {
    throw new InputError({ where: "driverFrom", came: addedMass === undefined ? "neither addedMass nor knownVolume" : "both addedMass and knownVolume", expected: "one of them is expected", hint: 'such as addedMass: { sweep: loaded, mass: "12 g" }' });
  }
  const asked = options.coil === undefined ? undefined : oneOf<CoilKind>(options.coil, ["plain", "eddy branch", "power law"], "driverFrom.coil");
  const area = areaOf(options), air = airFrom(options.air, "driverFrom.air"), name = options.name === undefined ? "measured driver" : nameFrom(options.name, "driverFrom.name");
  const band = bandWords(options.band, "driverFrom.band");
  const { fs } = classicalResonance(traceFrom(options.freeAir, "driverFrom.freeAir", band), "driverFrom.freeAir");
  if (addedMass !== undefined) checkKeys("driverFrom.addedMass", addedMass, ["sweep", "mass"]);
  else checkKeys("driverFrom.knownVolume", knownVolume, ["sweep", "volume"]);
  const given = addedMass !== undefined ? givenFrom(addedMass.mass, "mass", "driverFrom.addedMass.mass", "added mass", "12 g +- 0.1 g") : givenFrom(knownVolume!.volume, "volume", "driverFrom.knownVolume.volume", "known volume", "8 L +- 2 %");
  const fitIn = async (kind: CoilKind, within: readonly [number, number] | undefined): Promise<DriverFit> => {
    const trace = addedMass !== undefined ? traceFrom(addedMass.sweep, "driverFrom.addedMass.sweep", within) : traceFrom(knownVolume!.sweep, "driverFrom.knownVolume.sweep", within);
    const second: SecondSweep = addedMass !== undefined ? { kind: "added mass", trace, mass: given } : { kind: "known volume", trace, volume: given };
    return searched(`Driver "${name}" from its impedance`, fitDriver({ name, freeAir: traceFrom(options.freeAir, "driverFrom.freeAir", within), second, area, coil: kind, air }));
  };
  let coil = asked ?? "plain", found = await fitIn(coil, band ?? usualBand(coil === "plain", fs));
  if (asked === undefined && found.noise.hasStructure) {
    const chosen = await betterCoil(found, fitIn, band === undefined ? [usualBand(true, fs), undefined] : [band]);
    if (chosen !== undefined) [coil, found] = [chosen.coil, chosen.found];
  }
  const kind: SecondSweep["kind"] = addedMass !== undefined ? "added mass" : "known volume";
  const json = driverToJson(found.driver) as DriverOptions;
  const words = Object.freeze(air === standardAir ? json : { ...json, air: { density: air.density, soundSpeed: air.soundSpeed } });
  return makeShowable({ ...found.driver, measured: found, words }, () => viewsOf(found, kind, coil), () => lineOf(found));
}

/** Least fall of Akaike's criterion by which another model of the coil is taken, no unit. Source: K. P. Burnham, D. R. Anderson, Model Selection and Multimodel Inference, 2nd ed. 2002, section 2.6 (above 10: no support for the other one). */
const leastFall = 10;

/** The model of the coil that the sweeps ask for where a plain inductance leaves more than noise; undefined where none does better. */
async function betterCoil(plain: DriverFit, fitIn: (kind: CoilKind, within: readonly [number, number] | undefined) => Promise<DriverFit>, bands: readonly (readonly [number, number] | undefined)[]): Promise<{ readonly coil: CoilKind; readonly found: DriverFit } | undefined> {
  const criterion = ({ fit }: DriverFit): number => fit.residuals.length * Math.log(fit.sumOfSquares[1] / fit.residuals.length) + 2 * fit.values.length;
  for (const [i, within] of bands.entries()) {
    let best: { readonly coil: CoilKind; readonly found: DriverFit } | undefined;
    // criteria are compared over the same points
    const like = i === 0 ? plain : await fitIn("plain", within).catch(asRefusal);
    for (const coil of ["eddy branch", "power law"] as const) {
      const found = await fitIn(coil, within).catch(asRefusal);
      if (found !== undefined && criterion(found) < (best === undefined ? Infinity : criterion(best.found))) best = { coil, found };
    }
    const fall = best === undefined || like === undefined ? 0 : criterion(like) - criterion(best.found);
    if (best === undefined || fall < leastFall) continue;
    const note = remark("driverFrom.coil", `a plain inductance leaves more than noise: "${best.coil}" was taken, because the sweeps ask for it (Akaike's criterion falls by ${fall.toFixed(0)}); state coil to decide it yourself`);
    return { coil: best.coil, found: Object.freeze({ ...best.found, notes: Object.freeze([note, ...best.found.notes]) }) };
  }
  return undefined;
}

/** What the sweeps do not tell is no candidate; other errors go on. */
function asRefusal(error: unknown): undefined {
  if (error instanceof InputError) return undefined;
  throw error;
}

function areaOf({ diameter, Sd }: DriverFromWords): GivenQuantity {
  if ((diameter === undefined) === (Sd === undefined)) throw new InputError({ where: "driverFrom", came: diameter === undefined ? "neither diameter nor Sd" : "both diameter and Sd", expected: "one of them is expected", hint: 'such as diameter: "13 cm +- 2 mm", half of the surround on either side counted' });
  if (Sd !== undefined) return givenFrom(Sd, "area", "driverFrom.Sd", "cone area", "133 cm^2");
  const d = givenFrom(diameter, "length", "driverFrom.diameter", "diameter", "13 cm +- 2 mm");
  return { name: "cone diameter", value: (Math.PI * d.value ** 2) / 4, standardDeviation: (Math.PI * d.value * d.standardDeviation) / 2 };
}

function viewsOf(found: DriverFit, kind: SecondSweep["kind"], coil: CoilKind): readonly View[] {
  const { driver, estimates, classical, traces, noise, weights } = found, shown = driver.name;
  const first: Readonly<Record<string, number>> = { Re: classical.Re, fs: classical.fs, Qms: classical.Qms, Qes: classical.Qes, Qts: classical.Qts };
  const meanings: Readonly<Record<string, string>> = { ...parameterMeanings, L2: "second inductance of the coil", R2: "resistance parallel to it", K: "size of K (j omega)^n", n: "exponent of K (j omega)^n", "loss in the second sweep": "mechanical loss over that in free air", "moving mass on the volume": "over that in free air" };
  const table: Table = {
    kind: "table",
    title: `${shown}: parameters from its impedance, ${kind}, coil "${coil}"`,
    columns: ["parameter", "meaning", "value", noise.hasStructure ? "+- (noise alone)" : "+- (95 %)", "+- in %", "three frequencies"],
    rows: estimates.map((e) => [e.name, meanings[e.name] ?? "", ...estimateCells(e), first[e.name] === undefined ? "" : formatQuantity(first[e.name]!, e.unit, 3)]),
    notes: found.notes,
  };
  const subtitle = `${weights}; ${noiseText(noise)}`;
  return [table, fitFigure(`${shown} in free air: impedance, measured and fitted`, traces[0]!, { subtitle }), fitFigure(`${shown}, ${kind}: impedance, measured and fitted`, traces[1]!, { subtitle })];
}

function lineOf({ driver, estimates, noise }: DriverFit): string {
  const told = estimates.slice(0, -1).filter((e) => !e.name.includes(" ")).map(estimateText);
  return `driver ${JSON.stringify(driver.name)} from its impedance: ${told.join(", ")}${noise.hasStructure ? "; what is left after the fit is not noise: the values may lie outside of these intervals, see the notes" : ""}`;
}
