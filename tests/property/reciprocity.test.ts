import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { type Network, openingsOf, type Wiring } from "../../src/acoustics/network.js";
import { type RadiationMatrix, solveNetwork } from "../../src/acoustics/solve.js";
import { chainOf } from "../support/ducts.js";
import { randomNetwork, randomSection, randomSpace } from "./random-network.js";

const seed = 20268, frequencies = Float64Array.of(9, 27, 61, 118, 250, 430);
type Pair = readonly [number, number];

/** Currents of the first two coils at each frequency, A, with the voltages given; all other drivers are joined to the first. */
function currents(network: Network, radiation: RadiationMatrix, reversed: boolean): Pair[][] {
  const wiring: Wiring = { kind: "parallel", parts: network.drivers.map(({ name }, i) => ({ kind: "driver", name, reversed: i === 1 && reversed })) };
  const s = solveNetwork({ ...network, wiring }, { voltage: 1, sourceResistance: 0 }, frequencies, standardAir, radiation);
  const n = frequencies.length;
  return [0, 1].map((d) => Array.from({ length: n }, (_, f): Pair => [s.coilCurrentRe[d * n + f]!, s.coilCurrentIm[d * n + f]!]));
}

/**
 * Mutual admittances of two drivers: in parallel i1 = y11 + y12, i2 = y21 + y22; with the terminals of the second exchanged i1 = y11 - y12 and i2 = y21 - y22.
 * Reciprocity of two electrodynamic transducers through any passive medium: i2 per voltage at 1 with 2 shorted equals i1 per voltage at 2 with 1 shorted
 * (H. F. Olson, Acoustical Engineering, 1957; the signs of both transductions cancel).
 */
function mutual(network: Network, radiation: RadiationMatrix): { readonly off: number; readonly size: number } {
  const [a1, a2] = currents(network, radiation, false), [b1, b2] = currents(network, radiation, true);
  let off = 0, size = Infinity;
  for (let f = 0; f < frequencies.length; f++) {
    const y12: Pair = [(a1![f]![0] - b1![f]![0]) / 2, (a1![f]![1] - b1![f]![1]) / 2], y21: Pair = [(a2![f]![0] + b2![f]![0]) / 2, (a2![f]![1] + b2![f]![1]) / 2];
    const own = Math.hypot(...a1![f]!) + Math.hypot(...b1![f]!) + Math.hypot(...a2![f]!) + Math.hypot(...b2![f]!);
    // the difference of two currents is known to the digits of the currents
    off = Math.max(off, Math.hypot(y12[0] - y21[0], y12[1] - y21[1]) / Math.max(Math.hypot(...y12), 1e-5 * own));
    size = Math.min(size, Math.hypot(...y12) / own);
  }
  return { off, size };
}

const twoDrivers = (options: Parameters<typeof randomNetwork>[0]): fc.Arbitrary<Network> =>
  randomNetwork({ ...options, fewestDrivers: 2 }).map((network) => {
    const drivers = network.drivers.slice(0, 2);
    return { ...network, drivers, wiring: { kind: "parallel", parts: drivers.map(({ name }) => ({ kind: "driver", name })) } };
  });

describe("reciprocity of the whole network: mutual admittance of two drivers anywhere in it", () => {
  test.each([
    ["without loss", { space: true, powerLawCoils: true }],
    ["with walls that take energy", { space: true, walls: "all" as const, mostDucts: 4 }],
    ["with fill in ducts and volumes", { space: true, fill: true, mostDucts: 4 }],
  ])("%s: y12 = y21 to 1e-8", (_, options) => {
    let worst = 0, coupled = 0, runs = 0;
    fc.assert(
      fc.property(twoDrivers(options), fc.nat(1000), (network, number) => {
        const { off, size } = mutual(network, randomSpace(openingsOf(network), frequencies, number));
        worst = Math.max(worst, off);
        runs++;
        if (size > 1e-5) coupled++;
        expect(off).toBeLessThan(1e-8);
      }),
      { seed, numRuns: 80 },
    );
    console.log(`largest deviation of y12 from y21 ${worst.toExponential(1)}, ${coupled} of ${runs} networks well coupled at every frequency`);
    expect(coupled).toBeGreaterThan(0.2 * runs);
  });

  test("a radiation matrix that is not symmetrical breaks it: the check can fail", () => {
    const networks = fc.sample(twoDrivers({ space: true }).filter((x) => openingsOf(x).filter((o) => o.load.kind === "space").length >= 2), { seed, numRuns: 12 });
    const all = networks.map((network) => {
      const openings = openingsOf(network), m = openings.length, radiation = randomSpace(openings, frequencies, 3);
      const [i, j] = openings.flatMap((o, at) => (o.load.kind === "space" ? [at] : []));
      for (let f = 0; f < frequencies.length; f++) radiation.re[(f * m + i!) * m + j!]! += 5000;
      return mutual(network, radiation).off;
    });
    expect(Math.max(...all)).toBeGreaterThan(1e-3);
  });
});

test("A D - B C = 1 for random cascades of all flares, with walls and fill, to the digits that A D leaves", () => {
  const choices = fc.constantFrom({}, { walls: "all" as const }, { fill: true });
  fc.assert(
    fc.property(choices.chain((options) => fc.array(randomSection(options), { minLength: 1, maxLength: 5 })), fc.integer({ min: 1, max: 3000 }), (sections, f) => {
      const [a, b, c, d] = chainOf(sections, f);
      const re = a[0] * d[0] - a[1] * d[1] - (b[0] * c[0] - b[1] * c[1]), im = a[0] * d[1] + a[1] * d[0] - (b[0] * c[1] + b[1] * c[0]);
      const scale = Math.hypot(...a) * Math.hypot(...d) + Math.hypot(...b) * Math.hypot(...c) + 1;
      // for the parabolic flare from cross products of Bessel functions
      expect(Math.hypot(re - 1, im) / scale).toBeLessThan(1e-9);
    }),
    { seed, numRuns: 500 },
  );
});
