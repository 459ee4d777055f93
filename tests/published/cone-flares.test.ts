import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import type { Place } from "../../src/acoustics/flares/cones.js";
import { tableStations } from "../../src/acoustics/flares/table.js";
import { tractrixLength, tractrixStations } from "../../src/acoustics/flares/tractrix.js";
import { interpolateMonotone } from "../../src/math/interpolate.js";
import { expectClose, expectComplexClose } from "../support/close.js";
import { chainOf, type Complex, inputImpedance, section } from "../support/ducts.js";

const rhoC = standardAir.density * standardAir.soundSpeed;
const zOf = (places: readonly Place[], f: number): Complex => {
  const cones = places.slice(1).map((b, i) => section("conical", b.at - places[i]!.at, places[i]!.area, b.area));
  return inputImpedance(chainOf(cones, f), [rhoC / places[places.length - 1]!.area, 0]);
};

/** Throat impedance by Runge-Kutta of Riccati's form of Webster's equation from the mouth back: dZ/ds = -j w rho/S + j w S Z^2/(rho c^2), s along a parameter with dx/ds. */
function webster(f: number, profile: (s: number) => { dx: number; area: number }, from: number, to: number, steps: number): Complex {
  const omega = 2 * Math.PI * f, { density: rho, soundSpeed: c } = standardAir;
  const slope = (s: number, z: Complex): Complex => {
    const { dx, area } = profile(s), mass = (omega * rho) / area, spring = (omega * area) / (rho * c * c);
    const sr = z[0] * z[0] - z[1] * z[1], si = 2 * z[0] * z[1];
    return [-spring * si * dx, (-mass + spring * sr) * dx];
  };
  const h = (from - to) / steps;
  let z: Complex = [rhoC / profile(to).area, 0], s = to;
  const go = (a: Complex, b: Complex, t: number): Complex => [a[0] + t * b[0], a[1] + t * b[1]];
  for (let i = 0; i < steps; i++) {
    const k1 = slope(s, z), k2 = slope(s + h / 2, go(z, k1, h / 2)), k3 = slope(s + h / 2, go(z, k2, h / 2)), k4 = slope(s + h, go(z, k3, h));
    z = [z[0] + (h / 6) * (k1[0] + 2 * k2[0] + 2 * k3[0] + k4[0]), z[1] + (h / 6) * (k1[1] + 2 * k2[1] + 2 * k3[1] + k4[1])];
    s += h;
  }
  return z;
}

describe("tractrix", () => {
  const throat = 0.0025, mouth = 0.12, a = Math.sqrt(mouth / Math.PI);

  test("its wall keeps a tangent of constant length to the axis", () => {
    const places = tractrixStations({ throat, mouth, tolerance: 1e-6 });
    expectClose(places[places.length - 1]!.at, tractrixLength(throat, mouth), 1e-12, "whole horn");
    const r = Math.sqrt(throat / Math.PI);
    expectClose(tractrixLength(throat, mouth), a * Math.log((a + Math.sqrt(a * a - r * r)) / r) - Math.sqrt(a * a - r * r), 1e-12, "tractrix, textbook form x = a ln((a + sqrt(a^2 - r^2))/r) - sqrt(a^2 - r^2)");
    for (let i = 1; i + 1 < places.length; i++) {
      const radius = (p: Place): number => Math.sqrt(p.area / Math.PI);
      const [p, q, s] = [places[i - 1]!, places[i]!, places[i + 1]!];
      // slope by the parabola through three places
      const h1 = q.at - p.at, h2 = s.at - q.at, d1 = (radius(q) - radius(p)) / h1, d2 = (radius(s) - radius(q)) / h2;
      const slope = (d1 * h2 + d2 * h1) / (h1 + h2);
      if (slope < 2) expectClose(radius(q) * Math.sqrt(1 + 1 / slope ** 2), a, 3e-3, "r sqrt(1 + 1/r'^2) = a");
    }
  });

  test.each([30, 100, 300, 900])("throat impedance at %f Hz equals the integrated Webster equation within the tolerance", (f) => {
    // x = L - a (u - tanh u), r = a / cosh u
    const start = Math.acosh(Math.sqrt(mouth / throat));
    const exact = webster(f, (u) => ({ dx: a * Math.tanh(-u) ** 2, area: mouth / Math.cosh(u) ** 2 }), -start, 0, 6000);
    const coarse = zOf(tractrixStations({ throat, mouth, tolerance: 1e-2 }), f), usual = zOf(tractrixStations({ throat, mouth }), f);
    const off = (z: Complex): number => Math.hypot(z[0] - exact[0], z[1] - exact[1]) / Math.hypot(...exact);
    expect(off(usual)).toBeLessThan(1e-4);
    expect(off(coarse)).toBeLessThan(1e-2);
  });

  test("is finer for a tighter tolerance, cut off where asked, and refuses what is no horn", () => {
    expect(tractrixStations({ throat, mouth, tolerance: 1e-6 }).length).toBeGreaterThan(tractrixStations({ throat, mouth, tolerance: 1e-3 }).length);
    const cut = tractrixStations({ throat, mouth, length: 0.3 }), whole = tractrixStations({ throat, mouth, tolerance: 1e-6 });
    expect(cut[cut.length - 1]!.at).toBe(0.3);
    const near = whole.reduce((x, y) => (Math.abs(y.at - 0.3) < Math.abs(x.at - 0.3) ? y : x));
    expectClose(cut[cut.length - 1]!.area, near.area, 0.05, "the same curve");
    expect(() => tractrixStations({ throat: 0.2, mouth: 0.1 })).toThrow(/tractrix\.mouth/);
    expect(() => tractrixStations({ throat, mouth, length: 9 })).toThrow(/tractrix\.length/);
  });
});

test("monotone interpolation: slopes by the weighted harmonic mean, straight lines exactly", () => {
  const places = Float64Array.of(0, 1, 3), values = Float64Array.of(0, 1, 7);
  // secants 1 and 3; middle slope (5 + 4)/(5/1 + 4/3) = 27/19; first end (2 * 1 + 2) * 1 - 1 * 3 over 3 = 1/3
  const m = 27 / 19, t = 0.5;
  const hermite = 1 * t * t * (3 - 2 * t) + t * (1 - t) * ((1 / 3) * (1 - t) - m * t);
  expectClose(interpolateMonotone({ places, values }, Float64Array.of(0.5))[0]!, hermite, 1e-14, "Fritsch & Butland 1984, worked by hand");
  expectClose(interpolateMonotone({ places, values: Float64Array.of(2, 5, 11) }, Float64Array.of(2.2))[0]!, 8.6, 1e-14, "a straight line");
  expect(() => interpolateMonotone({ places, values }, Float64Array.of(3.1))).toThrow(/a place from 0 to 3/);
});

describe("measured area table", () => {
  const rows: Place[] = [[0, 0.004], [0.1, 0.0055], [0.25, 0.006], [0.4, 0.0115], [0.5, 0.011], [0.8, 0.03]].map(([at, area]) => ({ at: at!, area: area! }));

  test.each([30, 150, 500, 950])("throat impedance at %f Hz equals the integrated Webster equation along the monotone curve", (f) => {
    const points = { places: Float64Array.from(rows, (r) => r.at), values: Float64Array.from(rows, (r) => r.area) };
    const target = new Float64Array(1);
    const exact = webster(f, (x) => {
      target[0] = Math.min(Math.max(x, 0), 0.8);
      return { dx: 1, area: interpolateMonotone(points, target)[0]! };
    }, 0, 0.8, 4000);
    expectComplexClose(zOf(tableStations(rows), f), exact, 1e-4, "Webster 1919, Runge-Kutta; stated tolerance 1e-4");
    expectComplexClose(zOf(tableStations(rows, { tolerance: 1e-5 }), f), exact, 1e-5, "the same with a tolerance of 1e-5");
  });

  test("keeps every row and never leaves its neighbours", () => {
    const places = tableStations(rows);
    for (const row of rows) expect(places.some((p) => p.at === row.at && Math.abs(p.area / row.area - 1) < 1e-15)).toBe(true);
    for (const p of places) {
      const i = Math.max(0, rows.findIndex((r) => r.at >= p.at) - 1), [a, b] = [rows[i]!.area, rows[i + 1]!.area];
      expect(p.area).toBeGreaterThanOrEqual(Math.min(a, b) * (1 - 1e-12));
      expect(p.area).toBeLessThanOrEqual(Math.max(a, b) * (1 + 1e-12));
    }
  });

  test("refuses rows that are none", () => {
    expect(() => tableStations(rows.slice(0, 1))).toThrow(/2 to 1000 rows/);
    expect(() => tableStations([{ at: 0.1, area: 1 }, { at: 0.2, area: 1 }])).toThrow(/table\[0\]\.at/);
    expect(() => tableStations([{ at: 0, area: 1 }, { at: 0, area: 1 }])).toThrow(/table\[1\]\.at/);
    expect(() => tableStations([{ at: 0, area: 1 }, { at: 1, area: 0 }])).toThrow(/table\[1\]\.area/);
    expect(() => tableStations([{ at: 0, area: 1e-9 }, { at: 1e-3, area: 1e4 }, { at: 2e-3, area: 1e-9 }, { at: 30, area: 1e4 }], { tolerance: 1e-12 })).toThrow(/cones do not follow/);
  });
});
