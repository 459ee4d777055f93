import type { CrossSection } from "../acoustics/cross-section.js";
import { makePath } from "../acoustics/path.js";
import { checkPositive } from "./chamber.js";
import type { Design } from "./design.js";
import { buildTapped, type TappedHornOptions } from "./tapped-horn.js";

/** What a tapped pipe is made of, SI units: a tapped horn of one area. */
export interface TappedPipeOptions extends Omit<TappedHornOptions, "path"> {
  /** cross-section area, m^2 */
  readonly area: number;
  /** from the closed end to the opening, m */
  readonly length: number;
  /** shape of the cross-section; round when missing */
  readonly crossSection?: CrossSection;
  /** false for walls without viscous and thermal loss; true when missing */
  readonly wallLoss?: boolean;
}

/**
 * A tapped pipe: a uniform pipe, closed at distance 0 and open at its end, that both faces of the driver feed.
 *
 * @throws InputError  when a size is not positive, a tap lies outside the pipe or both taps coincide
 *
 * Source: the double-driven uniform duct, U / Ud = (cos k x1 - cos k x2) / cos k L without end load, elementary.
 */
export function buildTappedPipe(options: TappedPipeOptions): Design {
  const { area, length, crossSection = { kind: "round" }, wallLoss = true } = options;
  checkPositive("tappedPipe.area", area, "m^2", "area");
  checkPositive("tappedPipe.length", length, "m", "length");
  const path = makePath({ stations: [{ at: 0, area, flare: "uniform" }, { at: length, area, flare: "uniform" }], crossSection, wallLoss });
  return buildTapped({ ...options, path }, "tapped pipe", "tappedPipe");
}
