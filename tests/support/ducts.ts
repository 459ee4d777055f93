import { standardAir } from "../../src/air/air.js";
import { cascadeChain, compileDuct } from "../../src/acoustics/cascade.js";
import type { CrossSection } from "../../src/acoustics/cross-section.js";
import type { DuctSection, Flare, Section } from "../../src/acoustics/network.js";
import { pistonImpedance } from "../../src/acoustics/piston.js";

export type Complex = readonly [number, number];

export const add = (a: Complex, b: Complex): Complex => [a[0] + b[0], a[1] + b[1]];
export const times = (a: Complex, b: Complex): Complex => [a[0] * b[0] - a[1] * b[1], a[0] * b[1] + a[1] * b[0]];
export const over = (a: Complex, b: Complex): Complex => {
  const q = b[0] * b[0] + b[1] * b[1];
  return [(a[0] * b[0] + a[1] * b[1]) / q, (a[1] * b[0] - a[0] * b[1]) / q];
};

/** One section, without wall loss where no shape is given. */
export function section(flare: Flare, length: number, areaStart: number, areaEnd: number, walls?: CrossSection): DuctSection {
  return { flare, length, areaStart, areaEnd, walls };
}

/** Chain matrix A, B, C, D of sections at a frequency in Hz. */
export function chainOf(sections: readonly Section[], frequency: number): [Complex, Complex, Complex, Complex] {
  const out = new Float64Array(8);
  cascadeChain(compileDuct(sections), 2 * Math.PI * frequency, standardAir, out);
  return [[out[0]!, out[1]!], [out[2]!, out[3]!], [out[4]!, out[5]!], [out[6]!, out[7]!]];
}

/** Impedance at the near end with a load at the far end, Pa s/m^3. */
export function inputImpedance(chain: readonly Complex[], load: Complex): Complex {
  return over(add(times(chain[0]!, load), chain[1]!), add(times(chain[2]!, load), chain[3]!));
}

/** Flow at the far end per flow at the near end, no unit. */
export function flowRatio(chain: readonly Complex[], load: Complex): Complex {
  return over([1, 0], add(times(chain[2]!, load), chain[3]!));
}

/** Piston in a wall, Pa s/m^3. */
export function piston(frequency: number, area: number): Complex {
  const z = { re: 0, im: 0 };
  pistonImpedance(frequency, area, 2 * Math.PI, standardAir, z);
  return [z.re, z.im];
}
