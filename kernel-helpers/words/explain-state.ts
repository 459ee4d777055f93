import { type Air, standardAir } from "../../src/air/air.js";
import { InputError } from "../../src/errors.js";
import type { Driver } from "../../src/driver/parameters.js";
import type { Prediction } from "../../src/predict/predict.js";
import { placesListener, type Space } from "../../src/space/space.js";
import { shownValue } from "../shown-value.js";
import { airKeys } from "./air.js";
import { designFormat, designFromJson, designVersion } from "./design-json.js";
import { driverToJson } from "./driver-json.js";
import { compact, type NotebookDesign } from "./notebook-design.js";
import { predict, type PredictWords } from "./predict.js";
import { spaceFromJson } from "./space.js";

/** Plain JSON of numbers, texts, lists and objects, open to changes. */
export type Plain = { [key: string]: unknown };

/** A design, its drive and its space as plain values that changes are written into; SI units. */
export interface BuildState {
  /** the driver: Re, Le, Sd, Bl, Mms, Cms, Rms and what goes with them, SI units */
  readonly driver: Plain;
  /** the recipe of the enclosure, SI units */
  readonly enclosure: Plain;
  /** the recipe of the space, SI units; undefined for one known by its name, or without recipe */
  readonly space: Plain | undefined;
  /** of the air; what is missing is that of the prediction */
  readonly air: Plain;
  /** V RMS */
  drive: number;
  /** ohm */
  sourceResistance: number;
  /** m */
  distance: number;
  /** added to the predicted level, dB */
  level: number;
}

/** What is rebuilt with changes. */
export interface Explained {
  readonly prediction: Prediction;
  readonly design: NotebookDesign;
  /** values as they stand, made anew at each call */
  readonly state: () => BuildState;
}

/** The prediction whose design, drive and space are changed: a prediction, a design file that was read, or a design with its conditions. */
export function explainedFrom(value: unknown, conditions: PredictWords | undefined): Explained {
  const prediction = predictionFrom(value, conditions);
  const design = prediction.design as NotebookDesign;
  if (typeof design.recipe !== "object") {
    throw new InputError({ where: "explain, prediction", came: "a prediction of a design without its measures", expected: "a prediction of a design from closedBox, ventedBox, tappedHorn, another enclosure or ownNetwork is expected" });
  }
  const recipe = (prediction.space as { readonly recipe?: unknown }).recipe;
  const plain = JSON.stringify({ driver: baseDriver(design.driver), enclosure: design.recipe, space: recipe });
  const { voltage, sourceResistance } = prediction.drive;
  return {
    prediction,
    design,
    state: () => ({ space: undefined, ...(JSON.parse(plain) as Pick<BuildState, "driver" | "enclosure">), air: {}, drive: voltage, sourceResistance, distance: prediction.distance, level: 0 }),
  };
}

function predictionFrom(value: unknown, conditions: PredictWords | undefined): Prediction {
  const has = (thing: unknown): thing is Plain => typeof thing === "object" && thing !== null;
  const expected = "a prediction, what readDesign gave, or a design with its conditions is expected second";
  if (value instanceof Promise) throw new InputError({ where: "explain, prediction", came: "a promise", expected, hint: "write await before it" });
  const thing = has(value) && has(value["nominal"]) ? value["nominal"] : value;
  if (has(thing) && thing["level"] instanceof Float64Array && has(thing["design"]) && has(thing["drive"])) {
    if (conditions !== undefined) throw new InputError({ where: "explain.conditions", came: "conditions beside a prediction", expected: "the conditions of the prediction are expected", hint: "leave conditions out" });
    return thing as unknown as Prediction;
  }
  if (has(thing) && has(thing["design"]) && has(thing["predict"])) return predict(thing["design"] as unknown as NotebookDesign, { ...(thing["predict"] as PredictWords), ...conditions });
  if (has(thing) && has(thing["network"]) && has(thing["recipe"])) return predict(thing as unknown as NotebookDesign, conditions ?? {});
  throw new InputError({ where: "explain, prediction", came: shownValue(value), expected });
}

/** A driver by parameters that each change alone: Re, Le, Sd, Bl, Mms, Cms and Rms. */
function baseDriver(driver: Driver): Plain {
  const json = driverToJson({ ...driver, given: ["Re", "Sd", "Bl", "Mms", "Cms", "Rms", "Xmax", "ratedPower", "nominalImpedance"] });
  const inductance = driver.coil?.kind === "power law" || driver.Le === 0 ? {} : { Le: driver.Le };
  return compact({ ...json, ...inductance });
}

/** The design of a state. */
export function designOf(state: Pick<BuildState, "driver" | "enclosure">, name: string): NotebookDesign {
  return designFromJson({ format: designFormat, version: designVersion, name, driver: state.driver, enclosure: state.enclosure }, "explain").design;
}

/** The space of a state: that of the prediction where it has no recipe. */
export function spaceOf(state: BuildState, { space }: Prediction): Space {
  return state.space === undefined ? space : spaceFromJson(state.space, "explain: space");
}

/** The air of a state. */
export function airOf(state: BuildState, { air }: Prediction): Air {
  return { ...air, ...state.air };
}

/** What `predict` takes for a state, with the frequencies of the prediction. */
export function conditionsOfState(state: BuildState, prediction: Prediction): PredictWords {
  const { space } = prediction, air = airOf(state, prediction);
  const named = space.kind === "free space" && space.placement === undefined && state.space === undefined;
  const made = spaceOf(state, prediction);
  return Object.freeze({
    drive: state.drive,
    ...(state.sourceResistance === 0 ? {} : { sourceResistance: state.sourceResistance }),
    ...(named ? { space: space.name.replace(/ space$/, "") } : { in: made }),
    ...(placesListener(made) ? {} : { distance: state.distance }),
    frequencies: prediction.frequencies,
    ...(airKeys.every((key) => air[key as keyof Air] === standardAir[key as keyof Air]) ? {} : { air: Object.fromEntries(airKeys.map((key) => [key, air[key as keyof Air]])) }),
  });
}
