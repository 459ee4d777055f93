import { describe, expect, test } from "vitest";
import { standardAir as air } from "../../src/air/air.js";
import type { OpeningElement } from "../../src/acoustics/network.js";
import { type CabinOptions, makeCabin } from "../../src/space/cabin.js";
import { type Corner, makeProfile } from "../../src/space/profile.js";
import { profileModes } from "../../src/space/profile-modes.js";
import { firstModes } from "../../src/space/space-notes.js";
import { type Point, spaceRadiation, spaceTransfer } from "../../src/space/space.js";
import { expectClose, expectComplexClose } from "../support/close.js";

const opening = (name: string, area: number): OpeningElement => ({ kind: "opening", name, node: name, area, load: { kind: "space" }, massInDriver: false });
const modesOf = (corners: readonly Corner[], end: number): Float64Array => profileModes(makeProfile(corners, { width: 1, where: "cabin" }), end).squares;

describe("modes of polygons that are known", () => {
  test("rectangle of 2.4 m x 1.1 m, whichever way round it is drawn", () => {
    const corners: readonly Corner[] = [[0, 0], [2.4, 0], [2.4, 1.1], [0, 1.1]];
    const wanted: number[] = [];
    for (let l = 0; l < 20; l++) for (let n = 0; n < 10; n++) wanted.push(((l * Math.PI) / 2.4) ** 2 + ((n * Math.PI) / 1.1) ** 2);
    wanted.sort((a, b) => a - b);
    for (const way of [corners, [...corners].reverse(), corners.map(([x, z]) => [x - 7, z + 3] as const)]) {
      const got = modesOf(way, 18);
      expect(got.length).toBe(wanted.filter((k) => k <= 18 * 18).length);
      for (let m = 1; m < 20; m++) expectClose(got[m]!, wanted[m]!, 1e-9, "(l pi/Lx)^2 + (n pi/Lz)^2, Morse & Ingard, Theoretical Acoustics, 1968, section 9.4");
    }
  });

  test("right-angled triangle with two equal sides", () => {
    const side = 1.7, wanted: number[] = [];
    for (let m = 0; m < 12; m++) for (let n = 0; n <= m; n++) wanted.push(((m * m + n * n) * Math.PI ** 2) / side ** 2);
    wanted.sort((a, b) => a - b);
    const got = modesOf([[0, 0], [side, 0], [0, side]], 16);
    for (let m = 1; m < 18; m++) expectClose(got[m]!, wanted[m]!, 1e-8, "cos(m x) cos(n y) + cos(n x) cos(m y) on half a square, Courant & Hilbert, Methods of Mathematical Physics I, 1953, chapter V, section 16");
  });

  test("triangle with three equal sides", () => {
    const side = 1.3, wanted: number[] = [];
    for (let m = 0; m < 10; m++) for (let n = 0; n < 10; n++) wanted.push(((16 * Math.PI ** 2) / (9 * side ** 2)) * (m * m + m * n + n * n));
    wanted.sort((a, b) => a - b);
    const got = modesOf([[0, 0], [side, 0], [side / 2, (side * Math.sqrt(3)) / 2]], 16);
    for (let m = 1; m < 15; m++) expectClose(got[m]!, wanted[m]!, 2e-6, "(4 pi/3a)^2 (m^2 + mn + n^2), Lame 1852; McCartin, SIAM Review 45 (2003) 267");
  });

  test("three squares round a corner that points inwards", () => {
    // (-1, 1)^2 without a quarter; from memory
    const wanted = [1.47562182408, 3.53403136678, Math.PI ** 2, Math.PI ** 2, 11.3894793979];
    const got = modesOf([[-1, -1], [1, -1], [1, 0], [0, 0], [0, 1], [-1, 1]], 14);
    wanted.forEach((k, m) => expectClose(got[m + 1]!, k, 1e-5, "Dauge, benchmark computations for Maxwell equations, 2004: Neumann eigenvalues of the L-shape"));
  });
});

test("a rectangle of 3 m x 0.25 m aslant, long and thin against the rectangle around it", () => {
  const c = Math.cos(0.7), s = Math.sin(0.7), wanted = Array.from({ length: 12 }, (_, l) => ((l * Math.PI) / 3) ** 2);
  const got = modesOf([[0, 0], [3 * c, 3 * s], [3 * c - 0.25 * s, 3 * s + 0.25 * c], [-0.25 * s, 0.25 * c]], 28 / Math.sqrt(0.75));
  for (let m = 1; m < 12; m++) expectClose(got[m]!, wanted[m]!, 1e-7, "(l pi/Lx)^2, Morse & Ingard, Theoretical Acoustics, 1968, section 9.4");
  expect(got.length).toBeGreaterThan(60);
});

describe("profiles with inward corners whose sides see little of each other", () => {
  // squares of the wave numbers of modes 1 to 8, 1/m^2: quadratic triangles on squares of 0.05 m, 0.025 m and 0.0125 m, carried on to none; an own program in another language
  const shapes: readonly (readonly [string, readonly Corner[], readonly number[]])[] = [
    ["a divider of half the height", [[0, 0], [1.2, 0], [1.2, 0.6], [1.3, 0.6], [1.3, 0], [2.4, 0], [2.4, 1.2], [0, 1.2]], [1.04722, 6.69484, 7.00316, 7.52397, 10.81373, 13.99962, 19.35752, 27.41557]],
    ["a divider of three quarters of the height", [[0, 0], [1.2, 0], [1.2, 0.9], [1.3, 0.9], [1.3, 0], [2.4, 0], [2.4, 1.2], [0, 1.2]], [0.61797, 6.67243, 6.86515, 7.55059, 9.69506, 13.82603, 18.24181, 27.04717]],
    ["a U", [[0, 0], [2.4, 0], [2.4, 1.2], [1.8, 1.2], [1.8, 0.6], [0.6, 0.6], [0.6, 1.2], [0, 1.2]], [0.87849, 4.09895, 7.23567, 9.81675, 16.76123, 27.41557, 27.41557, 28.35]],
    ["a hump on the floor", [[0, 0], [0.7, 0], [0.7, 0.6], [1.7, 0.6], [1.7, 0], [2.4, 0], [2.4, 1.2], [0, 1.2]], [0.86343, 4.49792, 7.50892, 9.65781, 16.50278, 22.88636, 24.68043, 27.41557]],
    ["a seat with its back, and a bench", [[0, 0], [0.8, 0], [0.8, 0.4], [1.2, 0.4], [1.2, 0.9], [1.3, 0.9], [1.3, 0], [2, 0], [2, 0.4], [2.4, 0.4], [2.4, 1.2], [0, 1.2]], [0.70083, 5.97079, 6.33254, 8.80778, 12.61911, 19.88848, 21.16881, 22.41011]],
  ];
  test.each(shapes)("%s", (_, corners, wanted) => {
    const got = modesOf(corners, 17);
    wanted.forEach((k, m) => expectClose(got[m + 1]!, k, 1e-4, "finite elements made for this test, numbers kept here"));
  });

  test("a pocket behind a narrow neck is the known resonance of neck and two volumes", () => {
    // half of the rectangle each side of a neck 4 mm high and 0.1 m long
    const gap = 0.004, corners: readonly Corner[] = [[0, 0], [1.15, 0], [1.15, 0.6 - gap / 2], [1.25, 0.6 - gap / 2], [1.25, 0], [2.4, 0], [2.4, 1.2], [1.25, 1.2], [1.25, 0.6 + gap / 2], [1.15, 0.6 + gap / 2], [1.15, 1.2], [0, 1.2]];
    // length over height of the neck, of a step from it to the whole height at either end (conformal map, gap small), and a third of either volume
    const area = 1.15 * 1.2, lengthOverHeight = 0.1 / gap + (2 / Math.PI) * (1 - Math.log((4 * gap) / 1.2)) + (2 * 1.15) / (3 * 1.2);
    expectClose(modesOf(corners, 14)[1]!, 2 / (area * lengthOverHeight), 1e-3, "mass of a neck and two volumes, step in a channel (1 - ln(4 g/H))/pi; from memory");
  });
});

describe("a profile that is a rectangle", () => {
  const size: Point = [2.4, 1.4, 1.1], from: Point = [0.3, 0.4, 0.25], ear: Point = [1.5, 0.5, 0.9];
  const others: Pick<CabinOptions, "lossFactor" | "box" | "listener" | "places"> = { lossFactor: 0.004, box: from, listener: ear, places: { port: [0.35, 0.9, 0.2] } };
  const profile: readonly Corner[] = [[0, 0], [2.4, 0], [2.4, 1.1], [0, 1.1]];
  const two = [opening("cone", 0.02), opening("port", 0.004)], f = Float64Array.of(0.5, 12, 40, 66, 100, 134, 200, 260, 340, 450);

  test("has the modes of the rectangle, width and all", () => {
    const a = firstModes(makeCabin({ ...others, size }), 12, air), b = firstModes(makeCabin({ ...others, profile, width: 1.4 }), 12, air);
    a.forEach((mode, i) => expectClose(b[i]!.frequency, mode.frequency, 1e-9, "the same shape"));
  });

  // The rectangle damps modes above the 200th as a decay and sums to five parts in 10^4; of another volume it tells only the 200 lowest modes, the profile all up to its limit.
  test.each([
    ["rigid", {}, 2e-3],
    ["with a leak", { leak: 3000 }, 2e-3],
    ["with another volume", { volume: 3.5 }, 2e-2],
    ["with sides that give way", { flex: { kind: "compliance", compliance: 2e-7, lossFactor: 0.3, sides: ["width"] } }, 2e-3],
  ] as const)("carries sound as the rectangle does: %s", (_, more, limit) => {
    const a = makeCabin({ ...others, size, ...more }), b = makeCabin({ ...others, profile, width: 1.4, ...more });
    const za = spaceRadiation(a, two, f, air), zb = spaceRadiation(b, two, f, air), ha = spaceTransfer(a, two, 1, f, air), hb = spaceTransfer(b, two, 1, f, air);
    let worst = 0;
    const compare = (x: { readonly re: Float64Array; readonly im: Float64Array }, y: { readonly re: Float64Array; readonly im: Float64Array }, i: number): void => {
      worst = Math.max(worst, Math.hypot(x.re[i]! - y.re[i]!, x.im[i]! - y.im[i]!) / Math.max(200, Math.hypot(x.re[i]!, x.im[i]!)));
    };
    for (let i = 0; i < za.re.length; i++) compare(za, zb, i);
    for (let i = 0; i < ha.re.length; i++) compare(ha, hb, i);
    console.log(`profile of a rectangle against the rectangle: ${worst.toExponential(1)} at most`);
    expect(worst).toBeLessThan(limit);
  });
});

test("half a square, cut from corner to corner, is the square with the source and its image in the cut", () => {
  // 1.9 m is off the modes; corners of 45 degrees take three mirrorings in a row
  const a = 1.9, f = Float64Array.of(5, 40, 75, 111, 150, 203, 260, 350), lossFactor = 0.004;
  let worst = 0;
  for (const [from, ear] of [[[0.3, 0.4, 0.2], [1.1, 0.9, 0.5]], [[0.1, 0.4, 1.7], [0.15, 0.6, 1.65]], [[0.9, 0.2, 0.95], [0.8, 0.3, 1]]] as const) {
    const mirrored: Point = [a - from[2], from[1], a - from[0]];
    const half = makeCabin({ profile: [[0, 0], [a, 0], [0, a]], width: 1.3, lossFactor, box: from, listener: ear });
    const square = (box: Point) => makeCabin({ size: [a, 1.3, a], lossFactor, box, listener: ear });
    const point = [opening("point", 1e-10)], got = spaceTransfer(half, point, 1, f, air), parts = [from, mirrored].map((box) => spaceTransfer(square(box), point, 1, f, air));
    const ways = [from, mirrored].map((p) => Math.hypot(p[0] - ear[0], p[1] - ear[1], p[2] - ear[2]));
    f.forEach((x, i) => {
      const k = (2 * Math.PI * x) / air.soundSpeed;
      let re = 0, im = 0;
      parts.forEach((part, n) => {
        // travel times of the two differ
        const turn = k * (ways[0]! - ways[n]!), c = Math.cos(turn), s = Math.sin(turn);
        re += part.re[i]! * c - part.im[i]! * s;
        im += part.re[i]! * s + part.im[i]! * c;
      });
      worst = Math.max(worst, Math.hypot(got.re[i]! - re, got.im[i]! - im) / Math.max(200, Math.hypot(re, im)));
    });
  }
  console.log(`half a square against the square: ${worst.toExponential(1)} at most`);
  expect(worst).toBeLessThan(2e-3);
});

describe("far below the first mode", () => {
  const profile: readonly Corner[] = [[0, 0.3], [0.9, 0.3], [1, 0.1], [2.3, 0.1], [2.6, 0.5], [1.7, 1.2], [0.5, 1.2]];
  const options: CabinOptions = { profile, width: 1.3, box: [0.3, 0.4, 0.5], listener: [1.6, 0.4, 0.9] }, two = [opening("cone", 0.02), opening("port", 0.004)];
  const stiffness = air.density * air.soundSpeed ** 2, f = Float64Array.of(0.05), w = 2 * Math.PI * 0.05;
  const area = makeProfile(profile, { width: 1.3, where: "cabin" }).area, V = area * 1.3;

  test("every opening and the listener feel the volume", () => {
    const z = spaceRadiation(makeCabin(options), two, f, air), h = spaceTransfer(makeCabin(options), two, 1, f, air);
    for (let i = 0; i < 4; i++) expectClose(z.im[i]!, -stiffness / (w * V), 1e-4, "rho c^2/(j w V)");
    for (let i = 0; i < 2; i++) expectComplexClose([h.re[i]!, h.im[i]!], [0, -stiffness / (w * V)], 2e-3, "rho c^2/(j w V); travel time taken out");
  });

  test("beside leak and walls, drawn area and all", () => {
    const perimeter = profile.reduce((sum, [x, y], i) => sum + Math.hypot(profile[(i + 1) % 7]![0] - x, profile[(i + 1) % 7]![1] - y), 0);
    const z = spaceRadiation(makeCabin({ ...options, leak: 5000, flex: { kind: "impedance", resistance: 2e5, mass: 0, stiffness: 0, sides: ["length", "height"] } }), two, f, air);
    const g = 1 / 5000 + (perimeter * 1.3) / 2e5, wc = (w * V) / stiffness, q = g * g + wc * wc;
    expectComplexClose([z.re[0]!, z.im[0]!], [g / q, -wc / q], 1e-3, "1/(j w V/(rho c^2) + 1/R + area/z), Beranek & Mellow, Acoustics, 2012, chapter 4");
  });
});
