import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { standardAir as air } from "../../src/air/air.js";
import { cascadeChain, compileDuct } from "../../src/acoustics/cascade.js";
import { fillConstants, passiveFrom } from "../../src/acoustics/fill.js";
import type { DuctSection, Fill, Flare } from "../../src/acoustics/network.js";
import { buildFourthOrderBandPass } from "../../src/enclosure/fourth-order-band-pass.js";
import { freeSpace } from "../../src/space/free.js";
import { driverB } from "../support/drivers.js";
import { powersOf } from "../support/powers.js";
import { anyDriver, anyEnclosure, derivedFill } from "../support/random-enclosures.js";

const seed = 20271, space = freeSpace("half");
const between = (min: number, max: number): fc.Arbitrary<number> => fc.double({ min: Math.log(min), max: Math.log(max), noNaN: true }).map(Math.exp);
const frequency = between(1, 20_000), out = new Float64Array(4);

/** Real parts of j k z and j k / z over their sizes, no unit: what a slice takes from flow and from pressure, below zero where it gives. */
function taken(fill: Fill, f: number): readonly [flow: number, pressure: number] {
  fillConstants(2 * Math.PI * f, air, fill, out, 0);
  const [kr, ki, zr, zi] = out as unknown as [number, number, number, number], k = Math.hypot(kr, ki), z = Math.hypot(zr, zi);
  return [-(ki * zr + kr * zi) / (k * z), -(ki * zr - kr * zi) / (k * z)];
}

describe("fill by the law of Johnson, Champoux and Allard takes power", () => {
  test("each slice, from 1 Hz to 20 kHz and 1 Pa s/m^2 to 10^7 Pa s/m^2, from flow and from pressure; waves decay", () => {
    let least = Infinity;
    const any = derivedFill.chain((fill) => between(1, 1e7).map((flowResistivity) => ({ ...fill, flowResistivity })));
    fc.assert(
      fc.property(any, frequency, (fill, f) => {
        const [flow, pressure] = taken(fill, f);
        least = Math.min(least, flow, pressure);
        expect(flow).toBeGreaterThan(0);
        expect(pressure).toBeGreaterThan(0);
        expect(out[1]).toBeLessThan(0);
        expect(out[2]).toBeGreaterThan(0);
      }),
      { seed, numRuns: 5000 },
    );
    console.log(`least share taken in a slice: ${least.toExponential(1)}`);
  });

  test("a filled duct of any flare, whatever hangs on its ends", () => {
    const section = fc.record({ flare: fc.constantFrom<Flare>("uniform", "conical", "exponential", "parabolic"), length: between(0.001, 1), areaStart: between(1e-3, 0.1), ratio: between(0.2, 5), fill: derivedFill }).map(
      ({ flare, length, areaStart, ratio, fill }): DuctSection => ({ flare, length, areaStart, areaEnd: flare === "uniform" ? areaStart : areaStart * ratio, walls: undefined, fill }),
    );
    const part = fc.double({ min: -1, max: 1, noNaN: true }), chain = new Float64Array(8);
    fc.assert(
      fc.property(section, frequency, fc.tuple(part, part, part, part), (s, f, [pr, pi, a, b]) => {
        cascadeChain(compileDuct([s]), 2 * Math.PI * f, air, chain);
        // pressure and flow at the far end, the flow scaled by the area over rho c
        const scale = s.areaEnd / (air.density * air.soundSpeed), ur = a * scale, ui = b * scale;
        const [ar, ai, br, bi, cr, ci, dr, di] = chain as unknown as number[] & [number, number, number, number, number, number, number, number];
        const p1r = ar * pr - ai * pi + br * ur - bi * ui, p1i = ar * pi + ai * pr + br * ui + bi * ur;
        const u1r = cr * pr - ci * pi + dr * ur - di * ui, u1i = cr * pi + ci * pr + dr * ui + di * ur;
        const near = p1r * u1r + p1i * u1i, far = pr * ur + pi * ui;
        const size = Math.hypot(p1r, p1i) * Math.hypot(u1r, u1i) + Math.hypot(pr, pi) * Math.hypot(ur, ui);
        expect(near - far).toBeGreaterThanOrEqual(-1e-9 * size);
      }),
      { seed, numRuns: 2000 },
    );
  });

  test.each(Object.keys(anyEnclosure("fill")))("%s with fill and no other loss: the fill only takes power, and where it is in volumes the balance closes to 1e-9", (kind) => {
    const frequencies = Float64Array.of(1, 2.3, 5, 11, 23, 47, 101, 389, 1500, 6000, 20_000);
    let took = 0;
    fc.assert(
      fc.property(anyDriver, anyEnclosure("fill")[kind]!, (driver, make) => {
        const design = make({ driver }), { input, spent, inVolumes } = powersOf(design, space, frequencies);
        const inDucts = design.network.elements.some((e) => e.kind === "duct" && e.sections.some((s) => s.flare !== "turn" && s.fill !== undefined));
        input.forEach((power, f) => {
          if (!inDucts) expect(Math.abs(power - spent[f]! - inVolumes[f]!) / power).toBeLessThan(1e-9);
          expect(inVolumes[f]).toBeGreaterThanOrEqual(0);
          expect(power).toBeGreaterThan(spent[f]! * (1 - 1e-9));
          took = Math.max(took, (power - spent[f]!) / power);
        });
      }),
      { seed, numRuns: 60 },
    );
    // a tapped pipe and a baffle have no fill here
    if (kind !== "tapped pipe" && kind !== "open baffle") expect(took).toBeGreaterThan(0.01);
  });
});

test("where the empirical laws give power, a filled band-pass box gets it; the derived law takes some there", () => {
  const gain = (law: Fill["law"], f: number): number => {
    const chamber = (volume: number): { volume: number; fill: Fill } => ({ volume, fill: { flowResistivity: 20_000, law } });
    const design = buildFourthOrderBandPass({ driver: driverB, rear: chamber(0.012), front: chamber(0.018), port: { area: 0.004, length: 0.2 }, wallLoss: false });
    const { input, spent } = powersOf(design, space, Float64Array.of(f));
    return spent[0]! / input[0]! - 1;
  };
  for (const law of ["Miki", "Delany-Bazley"] as const) {
    const limit = passiveFrom({ flowResistivity: 20_000, law }, air);
    for (const pressure of [taken({ flowResistivity: 20_000, law }, 0.99 * limit)[1], -taken({ flowResistivity: 20_000, law }, 1.01 * limit)[1]]) expect(pressure).toBeLessThan(0);
    expect(gain(law, 0.5 * limit)).toBeGreaterThan(0);
    expect(gain(law, 2 * limit)).toBeLessThan(0);
    expect(gain("Johnson-Champoux-Allard", 0.5 * limit)).toBeLessThan(0);
    console.log(`${law}: gives from ${limit.toFixed(1)} Hz down; at half of that the box has ${(100 * gain(law, 0.5 * limit)).toFixed(2)} % more than went in; derived law ${(100 * gain("Johnson-Champoux-Allard", 0.5 * limit)).toFixed(2)} %`);
  }
});
