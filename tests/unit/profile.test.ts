import { describe, expect, test } from "vitest";
import { standardAir as air } from "../../src/air/air.js";
import type { OpeningElement } from "../../src/acoustics/network.js";
import { InputError, SolveError } from "../../src/errors.js";
import { blockCholesky } from "../../src/math/block-cholesky.js";
import { complementOfError } from "../../src/math/error-function.js";
import { gaussLegendre, legendre } from "../../src/math/legendre.js";
import { solveComplexMany } from "../../src/math/linear-solve-many.js";
import { lowestModes } from "../../src/math/lowest-modes.js";
import { symmetricModes } from "../../src/math/symmetric-modes.js";
import { makeCabin } from "../../src/space/cabin.js";
import { type Corner, depthInside, makeProfile } from "../../src/space/profile.js";
import { elementModes } from "../../src/space/profile-elements.js";
import { profileTriangles } from "../../src/space/profile-triangles.js";
import { waysBetween } from "../../src/space/profile-images.js";
import { addShortRange, addShortRangeLessNear, shortRangeTerms } from "../../src/space/short-range.js";
import { spaceRadiation } from "../../src/space/space.js";
import { expectClose } from "../support/close.js";

const profile = (corners: readonly Corner[]) => makeProfile(corners, { width: 1, where: "cabin" });

describe("mathematics beneath", () => {
  test("Gauss-Legendre quadrature, five points", () => {
    const { nodes, weights } = gaussLegendre(5);
    [-0.906179845938664, -0.538469310105683, 0, 0.538469310105683, 0.906179845938664].forEach((x, i) => expectClose(nodes[i]!, x, 1e-14, "Abramowitz & Stegun, table 25.4", 1e-15));
    [0.236926885056189, 0.478628670499366, 0.568888888888889].forEach((w, i) => expectClose(weights[i]!, w, 1e-14, "Abramowitz & Stegun, table 25.4"));
    const p = new Float64Array(5);
    legendre(4, 0.5, p);
    expectClose(p[4]!, -0.2890625, 1e-14, "(35 x^4 - 30 x^2 + 3)/8");
  });

  test("complement of the error function", () => {
    for (const [x, wanted] of [[0, 1], [0.5, 0.4795001221869535], [1.999, 0.00469846], [2, 0.004677734981047266], [3, 2.209049699858544e-5]] as const) expectClose(complementOfError(x), wanted, x === 1.999 ? 1e-4 : 1e-12, "Abramowitz & Stegun, table 7.1");
  });

  test("symmetric modes of a basis with a row twice: it is left out", () => {
    // two masses on springs, the second of them described twice
    const mass = Float64Array.of(2, 0, 0, 0, 1, 1, 0, 1, 1), stiffness = Float64Array.of(6, -2, -2, -2, 4, 4, -2, 4, 4);
    const { values, vectors } = symmetricModes(3, { stiffness, mass }, { keep: 3, least: 1e-10 });
    // 2 x^2 - 14 x + 20 = 0
    expect([...values].map((x) => Number(x.toFixed(12)))).toEqual([2, 5]);
    expectClose(2 * vectors[0]! ** 2 + (vectors[1]! + vectors[2]!) ** 2, 1, 1e-12, "vector' mass vector = 1");
  });

  test("two rings of equal masses on springs: every mode twice or four times, all of them found", () => {
    const half = 60, n = 2 * half, sizes = Array.from({ length: half }, () => 2), parts = [], blocks = [];
    const solved = (shift: number) => {
      for (let i = 0; i < n; i++) {
        // a ring of the even and one of the odd numbers, so that blocks hold one of each
        const j = (i + 2) % n;
        parts.push({ rows: Int32Array.of(i, j), values: Float64Array.of(1 + shift / 2, -1, -1, 1 + shift / 2) });
        blocks.push([i >> 1, j >> 1]);
      }
      return blockCholesky(sizes, parts, blocks)!;
    };
    const { values, vectors } = lowestModes({ n, solveShifted: solved(0.05).solve, multiplyMass: (x, out) => out.set(x) }, { shift: 0.05, end: 0.5, expected: 28 });
    const wanted = Array.from({ length: n }, (_, m) => 4 * Math.sin((Math.PI * (m >> 1)) / half) ** 2).sort((a, b) => a - b).filter((value) => value <= 0.5);
    expect(values.length).toBe(wanted.length);
    wanted.forEach((value, m) => expectClose(values[m]!, value, 1e-9, "4 sin^2(pi m/n)", 1e-12));
    for (let a = 0; a < values.length; a++) {
      for (let b = 0; b <= a; b++) {
        let sum = 0;
        for (let r = 0; r < n; r++) sum += vectors[a * n + r]! * vectors[b * n + r]!;
        expect(Math.abs(sum - (a === b ? 1 : 0))).toBeLessThan(1e-9);
      }
    }
  });

  test("a matrix of blocks that is not positive has no factor", () => {
    const rows = Int32Array.of(0, 1);
    expect(blockCholesky([1, 1], [{ rows, values: Float64Array.of(1, 2, 2, 1) }], [[0, 1]])).toBeUndefined();
    const x = Float64Array.of(1, 2);
    blockCholesky([1, 1], [{ rows, values: Float64Array.of(4, 2, 2, 3) }], [[0, 1]])!.solve(x);
    expectClose(x[0]!, -0.125, 1e-14, "4 x + 2 y = 1, 2 x + 3 y = 2");
    expectClose(x[1]!, 0.75, 1e-14, "4 x + 2 y = 1, 2 x + 3 y = 2");
  });

  test("several right-hand sides at once, with a zero first pivot", () => {
    const re = Float64Array.of(1, 0, 0, 1), im = Float64Array.of(0, 0, 0, 0);
    expect(solveComplexMany(2, Float64Array.of(0, 2, 1, 0), Float64Array.of(0, 0, 1, 1), { count: 2, re, im })).toBe(true);
    // rows (0, 2) and (1 + j, j)
    [0, 0, 0.5].forEach((_, i) => expect(Math.abs(re[i === 2 ? 2 : i]! - [-0.25, 0.5, 0.5][i]!)).toBeLessThan(1e-14));
    expect(Math.abs(im[0]! + 0.25) + Math.abs(im[1]! + 0.5)).toBeLessThan(1e-14);
    expect(solveComplexMany(2, Float64Array.of(1, 2, 2, 4), new Float64Array(4), { count: 2, re, im })).toBe(false);
  });

  test("the short range is the integral it stands for, and less its near part it is finite at no distance", () => {
    const time = 0.03, kk = 30;
    for (const d of [0.01, 0.2, 0.7]) {
      const series = new Float64Array(shortRangeTerms), less = new Float64Array(shortRangeTerms);
      addShortRange(d, { time, weight: 1 }, series);
      addShortRangeLessNear(d, { time }, less);
      let sum = 0;
      const steps = 200_000;
      // over the logarithm of s
      for (let i = 0; i < steps; i++) {
        const s = time * Math.exp((-30 * (i + 0.5)) / steps);
        sum += (Math.exp(kk * s - (d * d) / (4 * s)) / (4 * Math.PI * s) ** 1.5) * s * (30 / steps);
      }
      const value = (c: Float64Array): number => c.reduceRight((total, x) => total * kk + x, 0);
      expectClose(value(series), sum, 1e-6, "integral of e^{k^2 s} (4 pi s)^{-3/2} e^{-d^2/4s}");
      expectClose(value(less), sum - Math.cos(Math.sqrt(kk) * d) / (4 * Math.PI * d), 1e-5, "the same less cos(kd)/(4 pi d)");
    }
    const none = new Float64Array(shortRangeTerms), close = new Float64Array(shortRangeTerms);
    addShortRangeLessNear(0, { time }, none);
    addShortRangeLessNear(1e-5, { time }, close);
    none.forEach((x, p) => expect(Math.abs(x - close[p]!)).toBeLessThanOrEqual(1e-4 * Math.abs(x)));
  });
});

describe("ways in a polygon", () => {
  test("in a rectangle they are its images, also from a corner, a wall, and through a corner", () => {
    const rectangle = profile([[0, 0], [3, 0], [3, 2], [0, 2]]), reach = 1.5;
    for (const [from, to] of [[[0.4, 0.3], [0.7, 0.5]], [[0.4, 0.4], [0.4, 0.4]], [[0, 0.5], [0.2, 0]], [[0, 0], [0.3, 0.1]], [[2.9, 1.9], [2.9, 1.95]]] as const) {
      const wanted: number[] = [];
      for (const x of [to[0], -to[0], 6 - to[0]]) for (const z of [to[1], -to[1], 4 - to[1]]) wanted.push(Math.hypot(x - from[0], z - from[1]));
      const { lengths, weights } = waysBetween(rectangle, [from, to], reach);
      expect(weights.every((w) => w === 1)).toBe(true);
      const got = [...lengths].sort((a, b) => a - b), all = wanted.filter((d) => d < reach).sort((a, b) => a - b);
      expect(got.length).toBe(all.length);
      got.forEach((d, i) => expect(Math.abs(d - all[i]!)).toBeLessThan(1e-5));
    }
  });

  test("towards a corner of any angle their weights add up to a full turn over its angle", () => {
    for (const degrees of [40, 75, 100, 135, 150, 179, 200, 254, 300]) {
      const a = (degrees * Math.PI) / 180, far = 3;
      // a fan around the corner at the origin
      const fan: Corner[] = [[0, 0]];
      for (let i = 0; i <= 6; i++) fan.push([far * Math.cos((a * i) / 6), far * Math.sin((a * i) / 6)]);
      for (const share of [0.31, 0.5, 0.93]) {
        const place: Corner = [1e-4 * Math.cos(share * a), 1e-4 * Math.sin(share * a)];
        const { weights, lengths } = waysBetween(profile(fan), [place, place], 0.5);
        const near = weights.reduce((sum, w, i) => (lengths[i]! < 0.5 ? sum + w : sum), 0);
        // what is bent farther than the reach is missing: it falls off as (1e-4/0.5)^(2 nu)
        expectClose(near, (2 * Math.PI) / a, 0.02, "a wedge with a source on its edge, Carslaw 1920");
      }
    }
  });
});

describe("triangles of a profile", () => {
  const arch = Array.from({ length: 21 }, (_, i): Corner => [1.2 + 0.8 * Math.cos((Math.PI * (20 - i)) / 20), 0.8 * Math.sin((Math.PI * (20 - i)) / 20)]);
  test.each([
    ["a divider 1 mm thick", [[0, 0], [1.2, 0], [1.2, 0.9], [1.201, 0.9], [1.201, 0], [2.4, 0], [2.4, 1.2], [0, 1.2]]],
    ["a sharp spike", [[0, 0], [1.2, 0], [1.21, 0.9], [1.23, 0], [2.4, 0], [2.4, 1.2], [0, 1.2]]],
    ["corners in a straight edge", [[0, 0], [1, 0], [2, 0], [2, 1], [1, 1], [0, 1]]],
    ["an arch", [[0, 0], ...arch, [2.4, 0], [2.4, 1.2], [0, 1.2]]],
    ["a spiral", [[0, 0], [3, 0], [3, 3], [0.5, 3], [0.5, 1], [2, 1], [2, 2], [1.2, 2], [1.2, 1.8], [1.8, 1.8], [1.8, 1.2], [0.7, 1.2], [0.7, 2.8], [2.8, 2.8], [2.8, 0.2], [0.2, 0.2], [0.2, 3], [0, 3]]],
  ] as readonly (readonly [string, readonly Corner[]])[])("fill %s without a gap", (_, corners) => {
    const made = profile(corners), { points, triangles, walls } = profileTriangles(made, 0.3), sides = new Set<string>(), ofWalls = new Set(walls.map(({ from, to }) => `${from},${to}`));
    let area = 0;
    for (const [i, j, k] of triangles) {
      const [a, b, c] = [points[i]!, points[j]!, points[k]!];
      const own = ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / 2;
      expect(own).toBeGreaterThan(0);
      area += own;
      for (const [p, q] of [[i, j], [j, k], [k, i]] as const) {
        expect(Math.hypot(points[p]![0] - points[q]![0], points[p]![1] - points[q]![1])).toBeLessThan(0.3 + 1e-9);
        sides.add(`${p},${q}`);
      }
    }
    expectClose(area, made.area, 1e-12, "the area of the polygon");
    expect(sides.size).toBe(3 * triangles.length);
    // every side has the same one of another triangle beside it, or is part of a wall
    for (const side of sides) expect(sides.has(side.split(",").reverse().join())).toBe(!ofWalls.has(side));
    const lengths = new Float64Array(made.corners.length);
    for (const { from, to, edge } of walls) lengths[edge]! += Math.hypot(points[from]![0] - points[to]![0], points[from]![1] - points[to]![1]);
    made.corners.forEach(([x, z], e) => expectClose(lengths[e]!, Math.hypot(made.corners[(e + 1) % lengths.length]![0] - x, made.corners[(e + 1) % lengths.length]![1] - z), 1e-12, "length of the edge"));
  });

  test("are refused where there would be too many, and modes where rounding leaves none", () => {
    const made = profile([[0, 0], [2, 0], [2, 1], [1, 1], [1, 2], [0, 2]]);
    expect(() => profileTriangles(made, 0.005)).toThrow(SolveError);
    expect(() => elementModes(made, 1e-9)).toThrow(SolveError);
  });
});

describe("profiles", () => {
  test("area, inside and outside, whichever way round", () => {
    const corners: readonly Corner[] = [[0, 0], [2, 0], [2, 1], [1, 1], [1, 2], [0, 2]];
    for (const way of [corners, [...corners].reverse()]) {
      const made = profile(way);
      expect(made.area).toBeCloseTo(3, 12);
      expect(made.perimeter).toBeCloseTo(8, 12);
      expect(depthInside(made, [0.5, 0.5])).toBeCloseTo(0.5, 12);
      expect(depthInside(made, [1.5, 1.5])).toBeCloseTo(-0.5, 12);
    }
  });

  test.each([
    ["edges that fold back", [[0, 0], [2, 0], [1, 0.001], [1, 2]], "cabin.profile[1]"],
    ["an edge that touches a corner", [[0, 0], [2, 0], [2, 1], [1, 0], [0, 1]], "cabin.profile"],
    ["a sliver", [[0, 0], [10, 10], [10, 10.9]], "cabin.profile"],
    ["what is not finite", [[0, 0], [Infinity, 0], [0, 1]], "cabin.profile[1]"],
    ["no height", [[0, 0], [1, 0.01], [2, 0]], "cabin.profile"],
    ["a duct", [[0, 0], [30, 0], [30, 1], [0, 1]], "cabin.profile"],
  ] as const)("refuse %s", (_, corners, where) => {
    let error: unknown;
    try {
      profile(corners);
    } catch (thrown) {
      error = thrown;
    }
    expect(error).toBeInstanceOf(InputError);
    expect((error as InputError).where).toBe(where);
  });
});

test("the back of a baffle that would stand outside the profile is moved towards the box; a second call gives the same bytes", () => {
  const cabin = makeCabin({ profile: [[0, 0.5], [0.5, 0], [2.4, 0], [2.4, 1.2], [0, 1.2]], width: 1.4, box: [0.3, 0.7, 0.3], listener: [1.5, 0.4, 0.9] });
  const front: OpeningElement = { kind: "opening", name: "front", node: "a", area: 0.01, load: { kind: "space" }, massInDriver: false };
  const back = { ...front, name: "back", detours: [0.2, 0.3] } as OpeningElement;
  const f = Float64Array.of(30, 90, 700), z = spaceRadiation(cabin, [front, back], f, air), again = spaceRadiation({ ...cabin }, [front, back], f, air);
  expect(z.re.every(Number.isFinite) && z.im.every(Number.isFinite)).toBe(true);
  expect([...again.re, ...again.im]).toEqual([...z.re, ...z.im]);
});
