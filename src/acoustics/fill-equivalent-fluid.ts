import type { Air } from "../air/air.js";
import type { Fill } from "./network.js";

/** What the frame of a porous fill is like, for the law of Johnson, Champoux and Allard. */
export interface FillFrame {
  /** share of the space that is air, no unit */
  readonly porosity: number;
  /** how much the ways of the air wind: 1 for straight ones, no unit */
  readonly tortuosity: number;
  /** viscous characteristic length, m */
  readonly viscousLength: number;
  /** thermal characteristic length, m */
  readonly thermalLength: number;
}

/** Porosity that is taken where none is given, no unit: 10 to 30 kg/m^3 of fibres of 1400 to 2500 kg/m^3. Common practice, no source. */
export const commonPorosity: number = 0.99;

/**
 * Frame of a fill, with what is not given as of a light fibrous material: porosity 0.99; tortuosity 1, as thin fibres far apart hardly turn the air; viscous length
 * sqrt(8 mu tortuosity / (sigma porosity)), that of straight round pores of the same flow resistivity, shape factor 1; thermal length twice the viscous one, exact for
 * thin fibres far apart across the flow.
 *
 * With porosity and tortuosity 1 these are the equations that Allard & Champoux gave for fibrous materials in place of the empirical laws.
 *
 * Source: Allard & Atalla, Propagation of Sound in Porous Media, 2nd ed. 2009, chapter 5 (shape factor, lengths of fibrous materials); Allard & Champoux, J. Acoust. Soc. Am. 91 (1992) 3346; both from memory.
 */
export function fillFrame(fill: Fill, air: Pick<Air, "viscosity">): FillFrame {
  const porosity = fill.porosity ?? commonPorosity, tortuosity = fill.tortuosity ?? 1;
  const viscousLength = fill.viscousLength ?? viscousLengthOf(fill.flowResistivity, porosity, tortuosity, air);
  return { porosity, tortuosity, viscousLength, thermalLength: fill.thermalLength ?? 2 * viscousLength };
}

function viscousLengthOf(flowResistivity: number, porosity: number, tortuosity: number, air: Pick<Air, "viscosity">): number {
  return Math.sqrt((8 * air.viscosity * tortuosity) / (flowResistivity * porosity));
}

/**
 * Wave number (1/m) and characteristic impedance (Pa s/m, per unit area of fill and air together) in a rigid porous frame at one frequency, by the law of Johnson, Champoux and Allard.
 *
 * @remarks The air has an effective density tortuosity rho + (sigma porosity / (j w)) sqrt(1 + j D) and a compressibility
 * (gamma - (gamma - 1) / G) / (gamma p0), G = 1 + A sqrt(1 + j / (2 A)) / j. Both roots have a positive real part, so the first has an imaginary part below zero at any
 * frequency, G lies right of 1 and below the real axis, and the second has one below zero too: each slice takes power from flow and from pressure whatever the values, so any
 * network of it is passive. Limits: flow resistance sigma per length and isothermal air (gamma times softer) at low frequency, tortuosity rho and adiabatic air at high frequency.
 * The frame is taken as at rest; a very light fill that is carried along at low frequency resists less.
 *
 * Source: density Johnson, Koplik & Dashen, J. Fluid Mech. 176 (1987) 379; compressibility Champoux & Allard, J. Appl. Phys. 70 (1991) 1975; both in Allard & Atalla 2009, chapter 5. Passivity derived here.
 *
 * @param omega  angular frequency, rad/s, positive
 * @param air    density, sound speed, viscosity, Prandtl number, heat ratio
 * @param fill   flow resistivity, and of its frame what is known
 * @param out    receives k re, k im (negative: waves decay), z re, z im at places `at` to `at` + 3
 * @param at     first place to write
 */
export function equivalentFluid(omega: number, air: Air, fill: Fill, out: Float64Array, at: number): void {
  const { density: rho, viscosity: mu, heatRatio: gamma, prandtl } = air;
  const porosity = fill.porosity ?? commonPorosity, tortuosity = fill.tortuosity ?? 1;
  const viscous = fill.viscousLength ?? viscousLengthOf(fill.flowResistivity, porosity, tortuosity, air), thermal = fill.thermalLength ?? 2 * viscous;
  // sqrt(1 + j D) = (1 + j D / (2 r^2)) r with r its real part
  const drag = fill.flowResistivity * porosity;
  const D = (4 * tortuosity * tortuosity * mu * rho * omega) / (drag * viscous) ** 2;
  const dr = Math.sqrt((Math.sqrt(1 + D * D) + 1) / 2), di = D / (2 * dr);
  const densityRe = tortuosity * rho + (drag * di) / omega, densityIm = (-drag * dr) / omega;

  const A = (8 * mu) / (thermal * thermal * prandtl * omega * rho), B = 1 / (2 * A);
  const gr = Math.sqrt((Math.sqrt(1 + B * B) + 1) / 2), gi = B / (2 * gr);
  const GRe = 1 + A * gi, GIm = -A * gr, GG = GRe * GRe + GIm * GIm;
  const adiabatic = 1 / (rho * air.soundSpeed * air.soundSpeed);
  const softRe = adiabatic * (gamma - ((gamma - 1) * GRe) / GG), softIm = (adiabatic * (gamma - 1) * GIm) / GG;

  // k = w sqrt(density softness), z = sqrt(density / softness) / porosity; both have a positive real part
  root(densityRe * softRe - densityIm * softIm, densityRe * softIm + densityIm * softRe, omega, out, at);
  const ss = softRe * softRe + softIm * softIm;
  root((densityRe * softRe + densityIm * softIm) / ss, (densityIm * softRe - densityRe * softIm) / ss, 1 / porosity, out, at + 2);
}

/** Square root with a positive real part, times a scale, written at two places. */
function root(re: number, im: number, scale: number, out: Float64Array, at: number): void {
  const size = Math.sqrt(re * re + im * im), t = Math.sqrt((size + Math.abs(re)) / 2), u = Math.abs(im) / (2 * t);
  out[at] = scale * (re < 0 ? u : t);
  out[at + 1] = scale * (im < 0 ? -1 : 1) * (re < 0 ? t : u);
}
