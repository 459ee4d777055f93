import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { networkWithDriver, openingsOf, type DuctSection, type Flare, type Network, type NetworkElement } from "../../src/acoustics/network.js";
import { makePath, sectionsBetween } from "../../src/acoustics/path.js";
import { solveNetwork, type NetworkSolution } from "../../src/acoustics/solve.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { freeRadiation, freeSpace } from "../../src/space/free.js";
import { chainOf } from "../support/ducts.js";
import { physicalDriver } from "../support/drivers.js";

const seed = 20261;
const air = standardAir;
const driver = physicalDriver("random network driver (invented)", { Mms: 0.013, Cms: 0.0006, Rms: 1.1, Bl: 6.3, Re: 3.5, Sd: 0.0088, Le: 0.0006 });
const frequencies = Float64Array.of(7, 19, 33, 52, 88, 131, 260, 470);

const flare = fc.constantFrom<Flare>("uniform", "conical", "exponential", "parabolic");
const area = fc.double({ min: 0.0005, max: 0.1, noNaN: true });
const span = fc.double({ min: 0.01, max: 1.5, noNaN: true });
const sectionOf = (wallLoss: boolean): fc.Arbitrary<DuctSection> =>
  fc.record({ flare, length: span, areaStart: area, areaEnd: area }).map((s) => {
    const areaEnd = s.flare === "uniform" ? s.areaStart : s.areaEnd;
    return { ...s, areaEnd, walls: wallLoss ? { kind: "round" as const } : undefined };
  });

/** A random tree of ducts and chambers between the faces of the driver, with openings that radiate. */
const networkOf = (wallLoss: boolean): fc.Arbitrary<Network> =>
  fc
    .record({
      ducts: fc.array(fc.record({ sections: fc.array(sectionOf(wallLoss), { minLength: 1, maxLength: 4 }), parent: fc.nat() }), { minLength: 1, maxLength: 6 }),
      volumes: fc.array(fc.record({ node: fc.nat(), volume: fc.double({ min: 1e-4, max: 0.1, noNaN: true }) }), { maxLength: 3 }),
      mouthArea: area,
      frontArea: area,
      back: fc.nat(),
    })
    .map(({ ducts, volumes, mouthArea, frontArea, back }) => {
      const elements: NetworkElement[] = [];
      const nodes = ["n0"];
      ducts.forEach(({ sections, parent }, i) => {
        elements.push({ kind: "duct", name: `duct ${i}`, from: nodes[parent % nodes.length]!, to: `n${i + 1}`, sections });
        nodes.push(`n${i + 1}`);
      });
      volumes.forEach((v) => elements.push({ kind: "volume", node: nodes[v.node % nodes.length]!, volume: v.volume }));
      elements.push({ kind: "opening", name: "mouth", node: nodes[nodes.length - 1]!, area: mouthArea, load: { kind: "space" }, massInDriver: false });
      elements.push({ kind: "opening", name: "front", node: "front", area: frontArea, load: { kind: "space" }, massInDriver: false });
      return networkWithDriver(elements, driver, "front", nodes[back % nodes.length]!);
    });

function solve(network: Network): NetworkSolution {
  return solveNetwork(network, { voltage: 2.83, sourceResistance: 0 }, frequencies, air, freeRadiation(freeSpace("half"), openingsOf(network), frequencies, air));
}

/** Electrical power in, and power radiated or dissipated in the driver, W, at each frequency. */
function powerBalance(network: Network): { readonly input: number; readonly spent: number }[] {
  const s = solve(network), n = frequencies.length, m = s.openings.length;
  const radiation = freeRadiation(freeSpace("half"), openingsOf(network), frequencies, air);
  return Array.from(frequencies, (_, f) => {
    let spent = driver.Re * (s.currentRe[f]! ** 2 + s.currentIm[f]! ** 2) + driver.Rms * (s.velocityRe[f]! ** 2 + s.velocityIm[f]! ** 2);
    for (let o = 0; o < m; o++) spent += radiation.re[(f * m + o) * m + o]! * (s.flowRe[o * n + f]! ** 2 + s.flowIm[o * n + f]! ** 2);
    return { input: 2.83 * s.currentRe[f]!, spent };
  });
}

describe("random networks", () => {
  test("lossless walls: electrical power in = power radiated + dissipated in the resistances, to 1e-9", () => {
    fc.assert(
      fc.property(networkOf(false), (network) => {
        for (const { input, spent } of powerBalance(network)) {
          expect(Math.abs(input - spent) / spent).toBeLessThan(1e-9);
        }
      }),
      { seed, numRuns: 150 },
    );
  });

  test("walls with loss: what is not radiated or dissipated in the driver is lost in the walls, never gained", () => {
    fc.assert(
      fc.property(networkOf(true), (network) => {
        for (const { input, spent } of powerBalance(network)) {
          expect(input).toBeGreaterThan(spent * (1 - 1e-9));
        }
      }),
      { seed, numRuns: 100 },
    );
  });

  test("every cascade is reciprocal: A D - B C = 1, with and without wall loss", () => {
    fc.assert(
      fc.property(fc.boolean().chain((loss) => fc.array(sectionOf(loss), { minLength: 1, maxLength: 6 })), fc.double({ min: 1, max: 2000, noNaN: true }), (sections, f) => {
        const [a, b, c, d] = chainOf(sections, f);
        const re = a[0] * d[0] - a[1] * d[1] - (b[0] * c[0] - b[1] * c[1]), im = a[0] * d[1] + a[1] * d[0] - (b[0] * c[1] + b[1] * c[0]);
        const scale = Math.hypot(...a) * Math.hypot(...d) + Math.hypot(...b) * Math.hypot(...c) + 1;
        expect(Math.hypot(re - 1, im) / scale).toBeLessThan(1e-10);
      }),
      { seed, numRuns: 400 },
    );
  });

  test("a path split at any place gives the same answer to 1e-10 (walls without loss)", () => {
    fc.assert(
      fc.property(
        fc.array(fc.record({ step: fc.double({ min: 0.05, max: 0.8, noNaN: true }), area, flare }), { minLength: 2, maxLength: 6 }),
        fc.double({ min: 0.001, max: 0.999, noNaN: true }),
        fc.double({ min: 5, max: 1500, noNaN: true }),
        (list, share, f) => {
          let at = 0;
          // a uniform stretch ends in a step: two stations at one distance
          const stations = list.flatMap((s, i) => {
            const place = { at: i === 0 ? 0 : (at += s.step), area: s.area, flare: s.flare }, before = list[i - 1];
            return before?.flare === "uniform" ? [{ ...place, area: before.area }, place] : [place];
          });
          const path = makePath({ stations, crossSection: { kind: "round" }, wallLoss: false });
          const cut = at * share;
          const whole = chainOf(sectionsBetween(path, 0, at), f);
          const split = chainOf([...sectionsBetween(path, 0, cut), ...sectionsBetween(path, cut, at)], f);
          // elements of one matrix differ in unit: compare each with its own size along the way (pressure times flow scales)
          const z = 413 / Math.sqrt(list[0]!.area * list[list.length - 1]!.area);
          const scale = Math.hypot(...whole[0]) + Math.hypot(...whole[1]) / z + Math.hypot(...whole[2]) * z + Math.hypot(...whole[3]);
          const weights = [1, 1 / z, z, 1];
          whole.forEach((w, i) => expect((Math.hypot(w[0] - split[i]![0], w[1] - split[i]![1]) * weights[i]!) / scale).toBeLessThan(1e-10));
        },
      ),
      { seed, numRuns: 300 },
    );
  });

  test("a station more on a tapped horn with wall loss changes the level by less than 0.001 dB", () => {
    const base = { crossSection: { kind: "rectangle", depth: 0.16 } as const, wallLoss: true };
    const plain = makePath({ ...base, stations: [{ at: 0, area: 0.007, flare: "exponential" }, { at: 2.3, area: 0.03, flare: "exponential" }] });
    const extra = makePath({ ...base, stations: [{ at: 0, area: 0.007, flare: "exponential" }, { at: 1.15, area: Math.sqrt(0.007 * 0.03), flare: "exponential" }, { at: 2.3, area: 0.03, flare: "exponential" }] });
    const one = solve(buildTappedHorn({ driver, path: plain, frontTap: 0.09, backTap: 2.2 }).network);
    const two = solve(buildTappedHorn({ driver, path: extra, frontTap: 0.09, backTap: 2.2 }).network);
    for (let f = 0; f < frequencies.length; f++) {
      const db = 20 * Math.log10(Math.hypot(one.flowRe[f]!, one.flowIm[f]!) / Math.hypot(two.flowRe[f]!, two.flowIm[f]!));
      // losses are taken at the mean radius of pieces, whose limits move with the stations
      expect(Math.abs(db)).toBeLessThan(1e-3);
    }
  });
});
