import { describe, expect, test } from "vitest";
import { bessel01, besselRatio10 } from "../../src/math/bessel.js";
import { besselJ1, struveH1 } from "../../src/math/struve.js";
import { besselSeries, type Pair, struveSeries } from "./bessel-series.js";

const out = new Float64Array(8);
const sizes = [1e-6, 1e-3, 0.1, 0.7, 2.404825557695773, 5, 9.3, 13.3, 13.999, 14.001, 17, 24.9, 25.1, 40, 90];
const angles = [0, -0.01, -0.1, -0.4, -Math.PI / 4];

describe("Bessel functions by power series of 80 digits of a general library", () => {
  test("the reference meets values in print (Abramowitz & Stegun 1964, tables 9.1 and 12.1)", () => {
    const { J0, J1, Y0, Y1 } = besselSeries([2, 0]);
    expect([J0[0].toFixed(10), J1[0].toFixed(10), Y0[0].toFixed(10), Y1[0].toFixed(10)]).toEqual(["0.2238907791", "0.5767248078", "0.5103756726", "-0.1070324315"]);
    expect(struveSeries(1).toFixed(7)).toBe("0.1984573");
  });

  test("J0, J1, Y0, Y1 at complex arguments, relative to the largest of the four", () => {
    let worst = 0;
    for (const size of sizes) {
      for (const angle of angles) {
        const z: Pair = [size * Math.cos(angle), size * Math.sin(angle)];
        const { J0, J1, Y0, Y1 } = besselSeries(z);
        bessel01(...z, out, 0);
        const wanted = [...J0, ...J1, ...Y0, ...Y1];
        // each as a complex number; J relative to itself where it is large, Y likewise
        const scale = Math.max(Math.hypot(...J0), Math.hypot(...J1));
        for (let i = 0; i < 8; i += 2) {
          const own = Math.hypot(wanted[i]!, wanted[i + 1]!);
          const off = Math.hypot(out[i]! - wanted[i]!, out[i + 1]! - wanted[i + 1]!) / (i < 4 ? scale : Math.max(scale, own));
          worst = Math.max(worst, off);
        }
      }
    }
    expect(worst).toBeLessThan(1e-10);
  });

  test("J1/J0 on the diagonal of boundary layers, and beside it", () => {
    let worst = 0;
    for (const size of sizes) {
      for (const angle of [-Math.PI / 4, -0.6]) {
        const z: Pair = [size * Math.cos(angle), size * Math.sin(angle)];
        const { J0, J1 } = besselSeries(z);
        const q = J0[0] ** 2 + J0[1] ** 2;
        const wanted: Pair = [(J1[0] * J0[0] + J1[1] * J0[1]) / q, (J1[1] * J0[0] - J1[0] * J0[1]) / q];
        besselRatio10(...z, out, 0);
        worst = Math.max(worst, Math.hypot(out[0]! - wanted[0], out[1]! - wanted[1]) / Math.hypot(...wanted));
      }
    }
    expect(worst).toBeLessThan(1e-12);
  });

  test("J1 and the Struve function H1 at real arguments", () => {
    for (const x of [1e-4, 0.3, 1, 4, 8, 11.99, 12.01, 15, 30, 80]) {
      expect(Math.abs(besselJ1(x) / besselSeries([x, 0]).J1[0] - 1)).toBeLessThan(1e-9);
      expect(Math.abs(struveH1(x) / struveSeries(x) - 1)).toBeLessThan(1e-10);
    }
  });
});
