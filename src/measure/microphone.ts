import { InputError } from "../errors.js";
import type { Curve } from "../math/curve.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";
import type { Sweep } from "./sweep.js";

/** Angle of incidence of sound on a microphone in degrees: 0 is on its axis, 90 across it. */
export type Incidence = 0 | 90;

/** A measuring microphone as its papers describe it. */
export interface Microphone {
  /** short name for legends, plain text */
  readonly name: string;
  /** V for a pressure of 1 Pa; undefined when not given */
  readonly sensitivity: number | undefined;
  /** deviation from flat as a ratio, at the incidence; undefined without a file */
  readonly response: Curve | undefined;
  /** degrees, for which the response holds; undefined without a response or where it was not told */
  readonly incidence: Incidence | undefined;
  /** V, peak, at the input that samples of full scale (1) stand for; undefined when not given */
  readonly fullScale: number | undefined;
  readonly notes: readonly Note[];
}

const along = /(?:^|[^\d.])0+\s*(?:\u00b0|deg|degrees|grad)?(?![\d.])|free[\s_-]?field|freifeld|champ libre|on[\s_-]?axis|axial|frontal/i;
const across = /(?:^|[^\d.])90\s*(?:\u00b0|deg|degrees|grad)?(?![\d.])|pressure|druck|pression|grazing|streifend/i;

/**
 * The deviation of a microphone at one incidence among the columns or files that hold it, as a ratio.
 *
 * @param sweeps     curves of quantity "correction", one or two
 * @param incidence  0 or 90 degrees; with one curve it may be left out
 * @throws InputError  when none of two curves can be told to hold at the incidence, or the only one says another
 * @remarks A name with 0 degrees, "free field" or "axial" means 0; one with 90 degrees, "grazing" or "pressure" means 90. The pressure
 * response is taken for 90 degrees of incidence, which it equals while the microphone is small to the wavelength: common practice, no source.
 */
export function responseAt(sweeps: readonly Sweep[], incidence: Incidence | undefined, where: string): { readonly response: Curve; readonly notes: readonly Note[] } {
  const told = sweeps.map(({ name, columns, metadata }) => incidenceOf(name) ?? incidenceOf(metadata["incidence"] ?? "", true) ?? (sweeps.length === 1 ? incidenceOf(columns.join(" ")) : undefined));
  const list = sweeps.map(({ name }) => `"${name}"`).join(", ");
  if (sweeps.length > 1 && incidence === undefined) throw new InputError({ where, came: `${sweeps.length} responses, ${list}`, expected: "incidence: 0 or incidence: 90 is expected with them" });
  if (sweeps.length === 1) {
    const says = told[0];
    if (incidence !== undefined && says !== undefined && says !== incidence) throw new InputError({ where, came: `a response for ${says} degrees of incidence`, expected: `one for ${incidence} degrees is expected, as incidence says` });
    const notes = says !== undefined ? [] : [incidence === undefined ? warning(where, "for which incidence the response holds is neither told by the file nor by incidence") : remark(where, `for which incidence the response holds is not told by the file; ${incidence} degrees was taken`)];
    return { response: sweeps[0]!.curve, notes: [...sweeps[0]!.notes, ...notes] };
  }
  const fitting = sweeps.filter((_, i) => told[i] === incidence);
  if (fitting.length !== 1) throw new InputError({ where, came: `${fitting.length === 0 ? "no" : fitting.length} response for ${incidence} degrees among ${list}`, expected: 'one heading with the incidence is expected, such as "deviation at 0 degrees (dB)"' });
  const pressure = incidence === 90 && /pressure|druck|pression/i.test(fitting[0]!.name) ? [remark(where, `"${fitting[0]!.name}" was taken for 90 degrees of incidence`)] : [];
  return { response: fitting[0]!.curve, notes: [...fitting[0]!.notes, ...pressure] };
}

function incidenceOf(text: string, alone: boolean = false): Incidence | undefined {
  if (alone && text === "") return undefined;
  const [zero, ninety] = [along.test(text), across.test(text)];
  return zero === ninety ? undefined : zero ? 0 : 90;
}

/**
 * Pascal for a sample of full scale, from the sensitivity of a microphone (V/Pa) and the voltage at the input that reads full scale (V, peak).
 *
 * @throws InputError  when one of the two is not known
 */
export function pascalPerFullScale(microphone: Microphone): number {
  const { sensitivity, fullScale, name } = microphone;
  if (sensitivity === undefined || fullScale === undefined) {
    throw new InputError({ where: name, came: sensitivity === undefined ? "no sensitivity" : "no voltage of the input at full scale", expected: "both are expected for absolute levels", hint: 'say sensitivity: "12.6 mV/Pa" and fullScale: "1.7 V", or use levelCalibration' });
  }
  return fullScale / sensitivity;
}
