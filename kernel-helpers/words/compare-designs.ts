import type { Design } from "../../src/enclosure/design.js";
import { InputError } from "../../src/errors.js";
import { remark } from "../../src/notes.js";
import { figuresOfMerit } from "../../src/predict/figures-of-merit.js";
import { terminalDriver } from "../../src/enclosure/terminals.js";
import { netVolume, nominalLoad, voltageForLevel } from "../../src/predict/equal.js";
import type { Prediction } from "../../src/predict/predict.js";
import { checkKeys } from "../options.js";
import { formatQuantity, isQuantityOf, type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import { shownValue } from "../shown-value.js";
import type { Showable } from "../show/view.js";
import { type Comparison, comparisonOf } from "./compare.js";
import { driveText } from "./conditions.js";
import { designFromJson, designToJson } from "./design-json.js";
import type { NotebookDesign } from "./enclosures.js";
import { meritKeys, type MeritWords, referenceFrom, referenceText } from "./merit-words.js";
import { oneOf } from "./names.js";
import { driveFrom, predict, predictKeys, type PredictWords } from "./predict.js";

/** What is the same for all designs. */
export type EqualInput = "equal drive" | "equal power" | "equal level";

/** How designs are compared; what `predict` takes, and against which level extensions are counted. */
export interface CompareDesignsWords extends PredictWords, MeritWords {
  /** "equal drive" (default): one voltage; "equal power": one power into the nominal impedance of each design; "equal level": one reference level */
  readonly at?: EqualInput;
  /** for "equal level": the reference level, dB re 20 uPa or "90 dB"; that of the first design at the drive when missing */
  readonly level?: QuantityInput;
  /** gross volume by the name of the design, m^3 or "54 L", where it is known */
  readonly gross?: Readonly<Record<string, QuantityInput>>;
}

const figures = ["level", "groupDelay", "phase", "excursion", "impedance"] as const;

/**
 * Predicts several designs under the same conditions and lays them over each other: a table with net volume, extension, ripple, group delay
 * and sensitivity, with its definitions, and one figure each of level (dB), group delay (ms), phase (degrees), excursion (mm) and impedance (ohm).
 * Where net volumes differ by more than 2 %, or drivers differ, a note says so.
 *
 * ```ts
 * await air.show(air.compareDesigns([closed, vented, horn], { at: "equal level", drive: "2.83 V", band: ["50 Hz", "100 Hz"] }));
 * ```
 *
 * @throws InputError  naming the design or the option that is wrong
 */
export function compareDesigns(designs: readonly Design[], options: CompareDesignsWords = {}): Comparison & Showable {
  checkKeys("compareDesigns", options, ["at", "level", "gross", ...meritKeys, ...predictKeys]);
  const list = checkDesigns(designs);
  const at = options.at === undefined ? "equal drive" : oneOf(options.at, ["equal drive", "equal power", "equal level"], "compareDesigns.at");
  if (options.level !== undefined && at !== "equal level") {
    throw new InputError({ where: "compareDesigns.level", came: `a level at ${at}`, expected: 'at: "equal level" is expected with it' });
  }
  const gross = grossFrom(options.gross, list);
  const words = Object.fromEntries(predictKeys.map((key) => [key, (options as Record<string, unknown>)[key]]).filter(([, value]) => value !== undefined)) as PredictWords;
  const voltages = voltagesFor(list, words.drive, at);
  const predictions: Prediction[] = list.map((design, i) => predict(design, { ...words, drive: voltages[i]! }));
  const reference = referenceFrom(options, predictions.map((p) => p.frequencies), "compareDesigns");
  if (reference === undefined) {
    throw new InputError({ where: "compareDesigns.frequencies", came: "frequencies without a whole octave of at least 8 points", expected: "a pass band is expected", hint: 'give frequencies such as "10:500:400", or band: ["60 Hz", "120 Hz"]' });
  }
  if (at === "equal level") {
    const levels = predictions.map((p) => figuresOfMerit(p, reference, [3]).referenceLevel);
    const wanted = options.level === undefined ? levels[0]! : toSI(options.level, "decibel", "compareDesigns.level");
    predictions.forEach((p, i) => {
      const voltage = voltageForLevel({ voltage: p.drive.voltage, level: levels[i]! }, wanted);
      if (Math.abs(voltage / p.drive.voltage - 1) > 1e-12) predictions[i] = predict(list[i]!, { ...words, drive: voltage });
    });
  }
  const said = {
    "equal drive": `compared at the same voltage${words.drive === undefined ? "" : `, ${driveText(driveFrom(words.drive, terminalDriver(list[0]!), "compareDesigns.drive"))}`}`,
    "equal power": `compared at the same power into the nominal impedance of each design (${list.map((d) => formatQuantity(nominalLoad(d.network).resistance, "ohm")).join(", ")})`,
    "equal level": `compared at the same ${referenceText(reference)}`,
  }[at];
  return comparisonOf(predictions, { reference, gross, figures, notes: [remark("comparison", said)] });
}

/**
 * The same design with another net volume of air, for comparing at equal volume. What else was given stays: a port given by its tuning keeps the
 * tuning and gets another length, one given by its length gets another tuning.
 *
 * @param design  an enclosure with one volume, such as a closed or a vented box
 * @param volume  m^3, "36 L", or a design whose net volume is taken
 * @throws InputError  for an enclosure without a single volume (make its path longer or wider instead)
 */
export function atVolume(design: NotebookDesign, volume: QuantityInput | Design): NotebookDesign {
  const enclosure: Readonly<Record<string, unknown>> | undefined = design?.recipe;
  if (typeof enclosure !== "object" || enclosure === null) {
    throw new InputError({ where: "atVolume", came: shownValue(design), expected: "a design is expected", hint: "make it with closedBox, ventedBox or another enclosure" });
  }
  if (typeof enclosure["volume"] !== "number") {
    throw new InputError({ where: "atVolume", came: `${design.kind.match(/^[aeiou]/) === null ? "a" : "an"} ${design.kind}, which has no single volume`, expected: "a closed or vented box or another enclosure with one volume is expected", hint: "Change the others to its volume instead" });
  }
  let wanted: number | undefined;
  if (typeof volume === "object" && volume !== null) {
    wanted = netVolume(volume);
    if (wanted === undefined) throw new InputError({ where: "atVolume", came: `"${volume.name}" without a net volume`, expected: "a design with a net volume is expected" });
  } else wanted = toPositiveSI(volume, "volume", "atVolume");
  const file = designToJson(design, {});
  return designFromJson({ ...file, enclosure: { ...enclosure, volume: wanted } }, "atVolume").design;
}

function checkDesigns(designs: unknown): readonly Design[] {
  if (!Array.isArray(designs)) throw new InputError({ where: "compareDesigns", came: shownValue(designs), expected: "a list of designs is expected", hint: "compareDesigns([first, second], { ... })" });
  if (designs.length < 2 || designs.length > 20) throw new InputError({ where: "compareDesigns", came: `${designs.length} design${designs.length === 1 ? "" : "s"}`, expected: "2 to 20 designs are expected" });
  return Array.from(designs as readonly Partial<Design>[], (d, i) => {
    if (typeof d === "object" && d !== null && typeof d.network === "object" && typeof d.driver === "object" && Array.isArray(d.facts)) return d as Design;
    throw new InputError({ where: `compareDesigns[${i}]`, came: typeof d === "object" && d !== null ? "something that is not a design" : shownValue(d), expected: "a design is expected", hint: "make it with closedBox, ventedBox, tappedHorn or another enclosure" });
  });
}

/** The voltage of each design, V RMS. */
function voltagesFor(designs: readonly Design[], drive: QuantityInput | undefined, at: EqualInput): readonly number[] {
  const field = "compareDesigns.drive";
  if (at !== "equal power") {
    const { voltage } = driveFrom(drive ?? "2.83 V", terminalDriver(designs[0]!), field);
    return designs.map(() => voltage);
  }
  const given = drive ?? "1 W";
  if (typeof given !== "string" || !isQuantityOf(given, "power")) {
    throw new InputError({ where: field, came: shownValue(given), expected: 'a power is expected for "equal power", such as "30 W"' });
  }
  const power = toPositiveSI(given, "power", field);
  return designs.map((design) => {
    const { resistance, isNominal } = nominalLoad(design.network);
    if (isNominal) return Math.sqrt(power * resistance);
    throw new InputError({ where: field, came: `${shownValue(given)} for "${design.name}", whose driver has no nominal impedance`, expected: "the nominal impedance of every driver is expected", hint: 'add impedance: "4 ohm" to the driver' });
  });
}

function grossFrom(words: unknown, designs: readonly Design[]): readonly (number | undefined)[] {
  if (words === undefined) return designs.map(() => undefined);
  const names = designs.map((d) => d.name), twice = names.find((name, i) => names.indexOf(name) !== i);
  if (twice !== undefined) throw new InputError({ where: "compareDesigns.gross", came: `two designs called "${twice}"`, expected: "names that tell the designs apart are expected with it", hint: 'give each design a name of its own: name: "..."' });
  checkKeys("compareDesigns.gross", words, names);
  const given = words as Readonly<Record<string, QuantityInput>>;
  return designs.map((design) => {
    const value = given[design.name];
    if (value === undefined) return undefined;
    const gross = toPositiveSI(value, "volume", `compareDesigns.gross["${design.name}"]`), net = netVolume(design);
    if (net !== undefined && gross < net) {
      throw new InputError({ where: `compareDesigns.gross["${design.name}"]`, came: `${formatQuantity(gross, "m^3")}, less than the net volume of ${formatQuantity(net, "m^3")}`, expected: "a larger volume is expected" });
    }
    return gross;
  });
}
