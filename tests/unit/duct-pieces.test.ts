import { describe, expect, test } from "vitest";
import { areaAlong, cascadeChain, compileDuct } from "../../src/acoustics/cascade.js";
import { hydraulicRadius } from "../../src/acoustics/cross-section.js";
import type { DuctSection, Flare } from "../../src/acoustics/network.js";
import { standardAir } from "../../src/air/air.js";

const flares: readonly Flare[] = ["conical", "exponential", "parabolic", "hyperbolic"];
const section = (flare: Flare, a: number, b: number, curvature = 0): DuctSection => ({ flare, length: 2, areaStart: a, areaEnd: b, walls: { kind: "round" }, ...(flare === "hyperbolic" ? { curvature } : {}) });

describe("pieces of a duct with wall loss", () => {
  test.each(flares)("%s: each holds a change in area of at most a tenth, and they join to the whole", (flare) => {
    for (const whole of [section(flare, 0.0072, 0.034, 0.7), section(flare, 1e-6, 1, 3), section(flare, 0.1, 1e-4, 2), section(flare, 0.02, 0.03, 4)]) {
      const pieces = compileDuct([whole]);
      let length = 0;
      for (let i = 0; i < pieces.count; i++) {
        const a = pieces.areaStart[i]!, b = pieces.areaEnd[i]!;
        expect(Math.max(a / b, b / a)).toBeLessThan(1.1 * (1 + 1e-9));
        if (i > 0) expect(a).toBe(pieces.areaEnd[i - 1]);
        expect(b / areaAlong(whole, Math.min(1, (length += pieces.length[i]!) / 2))).toBeCloseTo(1, 9);
      }
      expect([pieces.areaStart[0], pieces.areaEnd[pieces.count - 1]]).toEqual([whole.areaStart, whole.areaEnd]);
      expect(length).toBeCloseTo(2, 12);
    }
  });

  test("a strong taper is as exact as a slight one: against a cut a hundred times as fine", () => {
    const out = new Float64Array(8), fine = new Float64Array(8);
    const deviation = (whole: DuctSection): number => {
      const parts = 4000;
      const at = (i: number): number => (Math.sqrt(whole.areaStart) * Math.exp((i / parts) * Math.log(Math.sqrt(whole.areaEnd / whole.areaStart))) - Math.sqrt(whole.areaStart)) / (Math.sqrt(whole.areaEnd) - Math.sqrt(whole.areaStart));
      const share = (i: number): number => (i === 0 ? 0 : i === parts ? 1 : at(i));
      const cut = compileDuct(Array.from({ length: parts }, (_, i) => ({ ...whole, length: whole.length * (share(i + 1) - share(i)), areaStart: areaAlong(whole, share(i)), areaEnd: areaAlong(whole, share(i + 1)) })));
      let worst = 0;
      for (const f of [20, 50, 137, 400]) {
        cascadeChain(compileDuct([whole]), 2 * Math.PI * f, standardAir, out);
        cascadeChain(cut, 2 * Math.PI * f, standardAir, fine);
        for (let k = 0; k < 8; k += 2) worst = Math.max(worst, Math.hypot(out[k]! - fine[k]!, out[k + 1]! - fine[k + 1]!) / Math.hypot(fine[k]!, fine[k + 1]!));
      }
      return worst;
    };
    const usual = deviation(section("conical", 0.0072, 0.034)), strong = deviation(section("conical", 1e-4, 0.1)), extreme = deviation(section("conical", 1e-6, 1));
    console.log(`deviation of the chain matrix: ${[usual, strong, extreme].map((x) => x.toExponential(1)).join(", ")}`);
    // with pieces of one length these were 1.7e-5, 1.7e-3 and 0.5
    expect(usual).toBeLessThan(4e-5);
    expect(strong).toBeLessThan(2e-4);
    expect(extreme).toBeLessThan(3e-3);
  });
});

describe("hydraulic radius 2 S / perimeter (definition)", () => {
  test("of round, square and rectangular ducts", () => {
    expect(hydraulicRadius({ kind: "round" }, Math.PI * 0.05 ** 2)).toBeCloseTo(0.05, 14);
    expect(hydraulicRadius({ kind: "square" }, 0.1 ** 2)).toBeCloseTo((2 * 0.01) / 0.4, 14);
    expect(hydraulicRadius({ kind: "rectangle", depth: 0.2 }, 0.2 * 0.05)).toBeCloseTo((2 * 0.01) / 0.5, 14);
    expect(hydraulicRadius({ kind: "rectangle", depth: 0.1 }, 0.01)).toBeCloseTo(hydraulicRadius({ kind: "square" }, 0.01), 14);
    // a slit has two walls of no end
    expect(hydraulicRadius({ kind: "slit", height: 0.002 }, 1)).toBe(0.002);
  });
});
