import fc from "fast-check";
import { makePath, type Path } from "../../src/acoustics/path.js";
import type { Fill, Flare } from "../../src/acoustics/network.js";
import type { EnclosureOptions } from "../../src/enclosure/assemble.js";
import { buildBackHorn } from "../../src/enclosure/back-horn.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import type { Design } from "../../src/enclosure/design.js";
import { buildFourthOrderBandPass } from "../../src/enclosure/fourth-order-band-pass.js";
import { buildFrontHorn } from "../../src/enclosure/front-horn.js";
import { buildOpenBaffle } from "../../src/enclosure/open-baffle.js";
import { buildPassiveRadiatorBox } from "../../src/enclosure/passive-radiator.js";
import type { PortOptions } from "../../src/enclosure/port.js";
import { buildSixthOrderBandPass } from "../../src/enclosure/sixth-order-band-pass.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { buildTappedPipe } from "../../src/enclosure/tapped-pipe.js";
import { buildTransmissionLine } from "../../src/enclosure/transmission-line.js";
import { buildVentedBox } from "../../src/enclosure/vented.js";
import { physicalDriver } from "./drivers.js";

/** How lossy an enclosure is drawn: not at all, with wall loss, fill and absorption, or with fill alone, of any kind that the derived law knows, in every chamber and path. */
export type Losses = "none" | "all" | "fill";

/** Builds an enclosure for a driver or several. */
export type Maker = (base: EnclosureOptions) => Design;

const between = (min: number, max: number): fc.Arbitrary<number> => fc.double({ min: Math.log(min), max: Math.log(max), noNaN: true }).map(Math.exp);
const volume = between(1e-3, 0.2), area = between(1e-3, 0.1);

/** A driver with parameters of every size that is made, invented. */
export const anyDriver: fc.Arbitrary<ReturnType<typeof physicalDriver>> = fc
  .record({ Sd: between(0.004, 0.12), fs: between(18, 90), Mms: between(0.005, 0.3), Qms: between(1.5, 15), Qes: between(0.2, 1.5), Re: between(1.5, 8), Le: between(1e-4, 3e-3) })
  .map(({ Sd, fs, Mms, Qms, Qes, Re, Le }) => {
    const w = 2 * Math.PI * fs;
    return physicalDriver("random (invented)", { Mms, Cms: 1 / (w * w * Mms), Rms: (w * Mms) / Qms, Bl: Math.sqrt((w * Mms * Re) / Qes), Re, Sd, Le });
  });

/** Fill by the law of Johnson, Champoux and Allard, from the loosest wool to felt, its frame known or not. */
export const derivedFill: fc.Arbitrary<Fill> = fc.record(
  { flowResistivity: between(10, 1e6), law: fc.constant("Johnson-Champoux-Allard" as const), porosity: fc.double({ min: 0.5, max: 1, noNaN: true }), tortuosity: between(1, 4), viscousLength: between(1e-5, 3e-3), thermalLength: between(1e-5, 3e-3) },
  { requiredKeys: ["flowResistivity", "law"] },
);

type ChamberDraw = { volume: number; absorptionResistance?: number; fill?: Fill };
const chamberOf = (losses: Losses): fc.Arbitrary<ChamberDraw> => {
  if (losses === "none") return fc.record({ volume });
  if (losses === "fill") return fc.record({ volume, fill: derivedFill });
  return fc.record({ volume, absorptionResistance: between(10, 5000), fill: fc.record({ flowResistivity: between(200, 9000), law: fc.constantFrom("Miki" as const, "Johnson-Champoux-Allard" as const) }) }, { requiredKeys: ["volume"] });
};

const port: fc.Arbitrary<PortOptions> = fc.oneof(
  fc.record({ area: between(5e-4, 0.02), length: between(0.02, 0.8), count: fc.integer({ min: 1, max: 3 }), innerEnd: fc.constantFrom("free" as const, "flush" as const) }),
  fc.record({ area: between(5e-4, 0.02), length: between(0.2, 0.8), rounding: between(0.002, 0.05) }),
  fc.record({ slot: fc.record({ width: between(0.05, 0.5), height: between(0.01, 0.05), onWall: fc.boolean() }), length: between(0.02, 0.8), innerEnd: fc.constantFrom("free" as const, "flush" as const) }),
  fc.record({ mass: between(5, 200), area: between(5e-4, 0.02) }),
);

const pathOf = (losses: Losses): fc.Arbitrary<Path> =>
  fc.record({ flares: fc.array(fc.record({ step: between(0.05, 1), area, flare: fc.constantFrom<Flare>("uniform", "conical", "exponential", "parabolic", "hyperbolic") }), { minLength: 2, maxLength: 5 }), depth: between(0.05, 0.4) }).map(({ flares, depth }) => {
    let at = 0;
    // a uniform stretch ends with the area that it began with
    let last = 0;
    const stations = flares.map(({ step, area: S, flare }, i) => {
      last = i > 0 && flares[i - 1]!.flare === "uniform" ? last : S;
      return { at: i === 0 ? 0 : (at += step), area: last, flare, ...(flare === "hyperbolic" ? { shape: 0.6 } : {}) };
    });
    return makePath({ stations, crossSection: { kind: "rectangle", depth }, wallLoss: losses === "all" });
  });

const share = fc.double({ min: 0, max: 1, noNaN: true });

/** Makers of every enclosure that there is, by its kind. */
export function anyEnclosure(losses: Losses): Record<string, fc.Arbitrary<Maker>> {
  const chamber = chamberOf(losses), path = pathOf(losses), wallLoss = losses === "all";
  const end = (p: Path): number => p.stations[p.stations.length - 1]!.at;
  const fillOf = (p: Path, s: number): object => {
    if (losses === "none") return {};
    const to = end(p) * (0.1 + 0.9 * s);
    // the share tells the density, too
    return { fill: [losses === "fill" ? { to, flowResistivity: 10 * 1e5 ** s, law: "Johnson-Champoux-Allard" as const } : { to, flowResistivity: 3000, law: "Miki" as const }] };
  };
  const apart = fc.tuple(share, share).map(([a, b]): [number, number] => (Math.abs(a - b) < 0.02 ? [0, 1] : [a, b]));
  return {
    "closed box": chamber.map((c) => (base) => buildClosedBox({ ...base, ...c })),
    "vented box": fc.tuple(chamber, port).map(([c, p]) => (base) => buildVentedBox({ ...base, ...c, port: p, wallLoss })),
    "passive radiator box": fc.tuple(chamber, fc.record({ Sd: between(0.005, 0.15), fs: between(8, 40), Mms: between(0.02, 0.5), Qms: between(2, 15), count: fc.integer({ min: 1, max: 2 }) })).map(([c, radiator]) => (base) => buildPassiveRadiatorBox({ ...base, ...c, radiator })),
    "fourth-order band-pass": fc.tuple(chamber, chamber, port).map(([rear, front, p]) => (base) => buildFourthOrderBandPass({ ...base, rear, front, port: p, wallLoss })),
    "sixth-order band-pass": fc.tuple(chamber, chamber, port, port, fc.constantFrom("parallel" as const, "series" as const)).map(([rear, front, rearPort, frontPort, tuned]) => (base) => buildSixthOrderBandPass({ ...base, rear, front, rearPort, frontPort, tuned, wallLoss })),
    "transmission line": fc.tuple(path, share, share, fc.constantFrom("open" as const, "closed" as const)).map(([p, at, s, e]) => (base) => buildTransmissionLine({ ...base, path: p, driverAt: end(p) * at, end: e, ...fillOf(p, s) })),
    "front-loaded horn": fc.tuple(path, fc.option(chamber, { nil: undefined }), chamber, share).map(([p, rear, throat, s]) => (base) => buildFrontHorn({ ...base, path: p, ...(rear === undefined ? {} : { rearChamber: rear }), throatChamber: throat, ...fillOf(p, s) })),
    "back-loaded horn": fc.tuple(path, chamber, share).map(([p, c, s]) => (base) => buildBackHorn({ ...base, path: p, chamber: c, ...fillOf(p, s) })),
    "tapped horn": fc.tuple(path, apart, fc.option(chamber, { nil: undefined }), share).map(([p, [a, b], c, s]) => (base) => buildTappedHorn({ ...base, path: p, frontTap: end(p) * a, backTap: end(p) * b, ...(c === undefined ? {} : { frontChamber: c }), ...fillOf(p, s) })),
    "tapped pipe": fc.tuple(area, between(0.4, 3), apart).map(([S, length, [a, b]]) => (base) => buildTappedPipe({ ...base, area: S, length, frontTap: length * a, backTap: length * b, wallLoss })),
    "open baffle": fc.record({ width: between(0.2, 2), height: between(0.2, 2) }).map((baffle) => (base) => buildOpenBaffle({ ...base, baffle })),
  };
}
