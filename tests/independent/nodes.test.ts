import fc from "fast-check";
import type { Complex } from "mathjs";
import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import type { Fill, Network } from "../../src/acoustics/network.js";
import { solveNetwork } from "../../src/acoustics/solve.js";
import { randomNetwork, randomRadiation } from "../property/random-network.js";
import { solveNodes } from "./nodes.js";

// Random networks with fills, walls, spaces with mutual radiation, membranes, several drivers and every coil, solved a second time with mathjs.
const frequencies = Float64Array.of(11, 47, 112, 283);
const drive = { voltage: 2.83, sourceResistance: 0.4 };

function worstDeviation(network: Network, seed: number): number {
  const m = network.elements.filter((e) => e.kind === "opening").length, n = frequencies.length;
  const radiation = randomRadiation(m, frequencies, seed);
  const s = solveNetwork(network, drive, frequencies, standardAir, radiation);
  let worst = 0;
  frequencies.forEach((frequency, f) => {
    const theirs = solveNodes(network, drive, standardAir, frequency, radiation, f);
    const kinds: [string, readonly string[], Float64Array, Float64Array][] = [
      ["p ", s.nodes, s.pressureRe, s.pressureIm],
      ["U ", s.openings, s.flowRe, s.flowIm],
      ["v ", s.drivers, s.velocityRe, s.velocityIm],
      ["i ", s.drivers, s.coilCurrentRe, s.coilCurrentIm],
      ["I", [""], s.currentRe, s.currentIm],
    ];
    for (const [kind, names, re, im] of kinds) {
      const got = names.map((name) => theirs.get(`${kind}${name}`) as Complex);
      const top = Math.max(...got.map((z) => Math.hypot(z.re, z.im)));
      names.forEach((_, i) => {
        const z = got[i]!;
        // relative to the size, but at least to a thousandth of the largest of its kind
        const off = Math.hypot(re[i * n + f]! - z.re, im[i * n + f]! - z.im) / Math.max(Math.hypot(z.re, z.im), 1e-3 * top);
        if (!(off <= worst)) worst = off;
      });
    }
  });
  return worst;
}

const exactFlares = ["uniform", "conical", "exponential"] as const;

/** The same networks with one law for all fills. */
const withLaw = (law: Fill["law"], networks: readonly Network[]): Network[] => JSON.parse(JSON.stringify(networks), (key, value) => (key === "law" ? law : value)) as Network[];

/** The same networks with areas so small that walls take a lot, and Bessel functions of the reference stay within range. */
const narrow = (networks: readonly Network[]): Network[] =>
  networks.map((network) => ({ ...network, elements: network.elements.map((e) => (e.kind !== "duct" ? e : { ...e, sections: e.sections.map((s) => (s.flare === "turn" ? s : { ...s, areaStart: s.areaStart * 0.02, areaEnd: s.areaEnd * 0.02 })) })) }));

describe("a general mathematics library solves random networks as we do", () => {
  const fills = fc.sample(randomNetwork({ space: true, fill: true, mostDucts: 4, flares: exactFlares }), { seed: 20265, numRuns: 16 });
  const cases = [
    // classical steps of 1/240 of a section err by up to 1e-7 for steep flares at 283 Hz
    { what: "lossless, every flare", networks: fc.sample(randomNetwork({ space: true, powerLawCoils: true, mostDucts: 4 }), { seed: 20263, numRuns: 16 }), allowed: 1e-6 },
    { what: "lossless, flares with closed forms", networks: fc.sample(randomNetwork({ space: true, powerLawCoils: true, mostDucts: 4, flares: exactFlares }), { seed: 20264, numRuns: 24 }), allowed: 1e-10 },
    { what: "fill of Delany & Bazley", networks: withLaw("Delany-Bazley", fills), allowed: 1e-10 },
    { what: "fill of Johnson, Champoux & Allard", networks: withLaw("Johnson-Champoux-Allard", fills), allowed: 1e-10 },
    { what: "fill of Miki", networks: withLaw("Miki", fills), allowed: 1e-10 },
    { what: "round walls on uniform ducts", networks: narrow(fc.sample(randomNetwork({ space: true, walls: "uniform", mostDucts: 3, flares: ["uniform", "conical"] }), { seed: 20266, numRuns: 8 })), allowed: 1e-10 },
  ];
  test.each(cases)("$what", ({ networks, allowed }) => {
    const all = networks.map((network, i) => worstDeviation(network, 77 + i));
    expect(Math.max(...all)).toBeLessThan(allowed);
  });
});
