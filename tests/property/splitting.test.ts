import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { areaAlong } from "../../src/acoustics/cascade.js";
import type { CrossSection } from "../../src/acoustics/cross-section.js";
import type { DuctSection, Flare } from "../../src/acoustics/network.js";
import { chainOf, type Complex } from "../support/ducts.js";
import { allFlares, between, randomSection } from "./random-network.js";

const seed = 20269, rhoC = standardAir.density * standardAir.soundSpeed;

/** A section cut at a share of its length, along its own flare. */
function halves(section: DuctSection, share: number): [DuctSection, DuctSection] {
  const middle = areaAlong(section, share);
  return [{ ...section, length: section.length * share, areaEnd: middle }, { ...section, length: section.length * (1 - share), areaStart: middle }];
}

/** Largest difference of two chain matrices, in the scale of the whole matrix (pressures and flows times rho c over a mean area). */
function difference(a: readonly Complex[], b: readonly Complex[], section: DuctSection): number {
  const z = rhoC / Math.sqrt(section.areaStart * section.areaEnd), weights = [1, 1 / z, z, 1];
  const scale = a.reduce((sum, x, i) => sum + Math.hypot(...x) * weights[i]!, 0);
  return Math.max(...a.map((x, i) => (Math.hypot(x[0] - b[i]![0], x[1] - b[i]![1]) * weights[i]!) / scale));
}

const share = fc.integer({ min: 1, max: 999 }).map((x) => x / 1000), hertz = between(1, 5000);
const withLength = (s: DuctSection): boolean => s.length > 0;

/** The worst of many draws. */
function worstSplit(section: fc.Arbitrary<DuctSection>, allowed: number, numRuns = 250): number {
  let worst = 0;
  fc.assert(
    fc.property(section.filter(withLength), share, hertz, (s, at, f) => {
      const off = difference(chainOf([s], f), chainOf(halves(s, at), f), s);
      if (!(off <= worst)) worst = off;
      expect(off).toBeLessThan(allowed);
    }),
    { seed, numRuns },
  );
  return worst;
}

describe("a duct split at any place is the same duct", () => {
  test.each(allFlares)("%s, without loss: to 1e-10", (flare) => {
    console.log(`${flare}, split without loss: ${worstSplit(randomSection({ flares: [flare] }), 1e-10).toExponential(1)}`);
  });

  // near the apex of a parabolic flare in a heavy fill the waves in and out lose digits against each other
  const filled: readonly (readonly [Flare, number])[] = allFlares.map((flare) => [flare, flare === "parabolic" ? 1e-6 : 1e-10]);
  test.each(filled)("%s, with fill: to %f", (flare, allowed) => {
    const section = fc.tuple(randomSection({ flares: [flare] }), between(500, 60_000), fc.constantFrom("Miki" as const, "Delany-Bazley" as const)).map(([s, flowResistivity, law]) => ({ ...s, fill: { flowResistivity, law } }));
    console.log(`${flare}, split with fill: ${worstSplit(section, allowed).toExponential(1)}`);
  });

  const shapes: readonly CrossSection[] = [{ kind: "round" }, { kind: "square" }, { kind: "rectangle", depth: 0.03 }, { kind: "slit", height: 0.01 }];
  test.each(shapes)("walls of a $kind duct: uniform to 1e-10, a flare within the steps of the loss", (walls) => {
    const of = (flares: readonly Flare[]): fc.Arbitrary<DuctSection> => randomSection({ flares }).map((s) => ({ ...s, walls }));
    const uniform = worstSplit(of(["uniform"]), 1e-10, 100);
    // the loss is taken at the mean radius of pieces of equal length, about a tenth apart in area; a cut moves their limits
    const flared = worstSplit(of(["conical", "exponential", "parabolic", "hyperbolic"]), 1e-3, 200);
    console.log(`walls, ${walls.kind}: uniform ${uniform.toExponential(1)}, flared ${flared.toExponential(1)}`);
  });

  test("many cuts: a flare in 64 equal parts, without loss", () => {
    for (const flare of allFlares) {
      for (const [start, end] of [[0.001, 0.05], [0.05, 0.001], [0.01, 0.0101]] as const) {
        const whole: DuctSection = { flare, length: 1.7, areaStart: start, areaEnd: flare === "uniform" ? start : end, walls: undefined, ...(flare === "hyperbolic" ? { curvature: 0.9 } : {}) };
        const parts = Array.from({ length: 64 }, (_, i) => ({ ...whole, length: 1.7 / 64, areaStart: areaAlong(whole, i / 64), areaEnd: areaAlong(whole, (i + 1) / 64) }));
        for (const f of [3, 40, 211, 1000, 4000]) expect(difference(chainOf([whole], f), chainOf(parts, f), whole), `${flare} ${start} to ${end} m^2 at ${f} Hz`).toBeLessThan(1e-9);
      }
    }
  });

  test("read the other way round A and D change places, B and C stay", () => {
    fc.assert(
      fc.property(fc.constantFrom({}, { fill: true }, { walls: "all" as const }).chain((options) => randomSection(options)).filter(withLength), hertz, (s, f) => {
        const [a, b, c, d] = chainOf([s], f), [e, g, h, i] = chainOf([{ ...s, areaStart: s.areaEnd, areaEnd: s.areaStart }], f);
        expect(difference([a, b, c, d], [i, g, h, e], s)).toBeLessThan(1e-9);
      }),
      { seed, numRuns: 300 },
    );
  });

  test("sections without length are steps: they change nothing, wherever they stand", () => {
    const s: DuctSection = { flare: "conical", length: 0.8, areaStart: 0.01, areaEnd: 0.03, walls: undefined }, step: DuctSection = { ...s, length: 0, areaStart: 1e-6, areaEnd: 10 };
    expect(chainOf([step, s, step, step], 77)).toEqual(chainOf([s], 77));
  });
});
