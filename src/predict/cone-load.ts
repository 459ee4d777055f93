import { hear } from "./far-pressure.js";
import type { Prediction } from "./predict.js";

/** The air that one cone moves, as an impedance over frequency; n values each. */
export interface ConeLoad {
  /** name of the driver in the network */
  readonly name: string;
  /** Hz */
  readonly frequencies: Float64Array;
  /** pressure in front less pressure behind over the volume velocity of the cone, real part, Pa s/m^3 */
  readonly re: Float64Array;
  /** imaginary part, Pa s/m^3 */
  readonly im: Float64Array;
  /** the same from the front face alone, real part, Pa s/m^3 */
  readonly frontRe: Float64Array;
  /** front face alone, imaginary part, Pa s/m^3 */
  readonly frontIm: Float64Array;
  /** the same from the back face alone, real part, Pa s/m^3; front and back add up */
  readonly backRe: Float64Array;
  /** back face alone, imaginary part, Pa s/m^3 */
  readonly backIm: Float64Array;
}

/**
 * Acoustic load of each cone, Pa s/m^3: (p_front - p_back) / (Sd v). Times Sd^2 it is the mechanical impedance in N s/m that adds to that of the driver. The air
 * mass that Mms holds is not part of it.
 *
 * Source: definition, Beranek & Mellow, Acoustics, 2012, chapter 6.
 */
export function coneLoads(prediction: Prediction): readonly ConeLoad[] {
  const { frequencies } = prediction, n = frequencies.length;
  const { solution } = hear(prediction, frequencies);
  return Object.freeze(
    prediction.design.network.drivers.map(({ name, driver, front, back }, d) => {
      const load = { re: new Float64Array(n), im: new Float64Array(n), frontRe: new Float64Array(n), frontIm: new Float64Array(n), backRe: new Float64Array(n), backIm: new Float64Array(n) };
      const frontAt = solution.nodes.indexOf(front) * n, backAt = solution.nodes.indexOf(back) * n;
      for (let f = 0; f < n; f++) {
        const ur = driver.Sd * solution.velocityRe[d * n + f]!, ui = driver.Sd * solution.velocityIm[d * n + f]!, uu = ur * ur + ui * ui;
        const ar = solution.pressureRe[frontAt + f]!, ai = solution.pressureIm[frontAt + f]!;
        const br = -solution.pressureRe[backAt + f]!, bi = -solution.pressureIm[backAt + f]!;
        load.frontRe[f] = (ar * ur + ai * ui) / uu;
        load.frontIm[f] = (ai * ur - ar * ui) / uu;
        load.backRe[f] = (br * ur + bi * ui) / uu;
        load.backIm[f] = (bi * ur - br * ui) / uu;
        load.re[f] = load.frontRe[f]! + load.backRe[f]!;
        load.im[f] = load.frontIm[f]! + load.backIm[f]!;
      }
      return Object.freeze({ name, frequencies, ...load });
    }),
  );
}
