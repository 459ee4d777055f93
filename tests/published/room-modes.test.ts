import { describe, expect, test } from "vitest";
import { standardAir as air } from "../../src/air/air.js";
import type { OpeningElement } from "../../src/acoustics/network.js";
import { SolveError } from "../../src/errors.js";
import { rectangularRoom, reverberationTime, schroederFrequency } from "../../src/space/room.js";
import { roomField } from "../../src/space/room-modes.js";
import { type Point, spaceRadiation, spaceTransfer } from "../../src/space/space.js";
import { firstModes } from "../../src/space/space-notes.js";
import { expectClose, expectComplexClose } from "../support/close.js";

const source = "rigid box, Morse & Ingard, Theoretical Acoustics, 1968, section 9.4; Kuttruff, Room Acoustics";
const hall = rectangularRoom({ size: [5, 4, 2.5], box: [0, 0, 0], listener: [5, 4, 2.5], loss: { kind: "decay", rate: 7 } });
const mouth = (area?: number): OpeningElement => ({ kind: "opening", name: "mouth", node: "mouth", area, load: { kind: area === undefined ? "release" : "space" } as OpeningElement["load"], massInDriver: false });

/** Pressure per volume velocity, Pa s/m^3, between two places, k^2 complex. */
function greens(size: Point, from: Point, to: Point, f: number, kk: readonly [number, number]): [number, number] {
  const re = new Float64Array(1), im = new Float64Array(1), w = 2 * Math.PI * f;
  roomField(size, [{ from, to, near: new Float64Array(0), fromRadius: 0, toRadius: 0, nearEnd: -1 }]).evaluate(w / air.soundSpeed, kk, re, im);
  return [-w * air.density * im[0]!, w * air.density * re[0]!];
}

test("first sixteen modes of 5 m x 4 m x 2.5 m, Hz", () => {
  const wanted = [34.32, 42.9, 54.9388, 68.64, 68.64, 76.7419, 80.9436, 80.9436, 85.8, 87.9188, 92.4094, 97.0716, 102.96, 106.129, 109.878, 109.878];
  const got = firstModes(hall, 16, air).map((mode) => mode.frequency);
  got.forEach((f, i) => expectClose(f, wanted[i]!, 1e-5, source));
  expect(got).toHaveLength(16);
});

test("modal sum with k = (w/c)(1 - 0.025j) in 2.4 m x 1.4 m x 1.1 m, from corner to corner and to a seat", () => {
  const table: [number, [number, number], [number, number]][] = [
    [10, [30.4745, -630.148], [30.4884, -620.696]],
    [30, [9.25787, -278.391], [9.80149, -242.011]],
    [50, [-4.95684, -334.195], [1.8005, -220.839]],
    [71.5, [-3411.72, -95.9464], [-1302.97, -115.9]],
    [100, [-31.1616, 210.757], [0.0675695, 33.0676]],
    [130, [-5.79569, 1937.63], [54.9844, -1024.36]],
  ];
  for (const [f, corner, seat] of table) {
    const k = (2 * Math.PI * f) / air.soundSpeed, kk = [k * k * (1 - 0.025 ** 2), -0.05 * k * k] as const;
    expectComplexClose(greens([2.4, 1.4, 1.1], [0, 0, 0], [2.4, 1.4, 1.1], f, kk), corner, 1e-5, `${source}; two-dimensional modes times exact one-dimensional Green's function`);
    expectComplexClose(greens([2.4, 1.4, 1.1], [0, 0, 0], [1.5, 0.4, 0.9], f, kk), seat, 1e-5, `${source}; the same`);
  }
});

test("mean over the cross-section of a box is the rigid tube: -j (rho c/S) cos(k(L - x))/sin(kL), Pa s/m^3", () => {
  // a mean over 16 x 16 midpoints of the source plane takes out every mode across up to order 15
  const size = [2.4, 1.4, 1.1] as const, x = 2.4, count = 16;
  for (const [f, wanted] of [[20, -348.518], [40, -273.09], [60, -554.355], [90, 369.487], [120, 316.762]] as const) {
    const k = (2 * Math.PI * f) / air.soundSpeed, pairs = [];
    for (let i = 0; i < count; i++) for (let j = 0; j < count; j++) pairs.push({ from: [0, (1.4 * (i + 0.5)) / count, (1.1 * (j + 0.5)) / count] as const, to: [x, 0, 0] as const, near: new Float64Array(0), fromRadius: 0, toRadius: 0, nearEnd: -1 });
    const re = new Float64Array(pairs.length), im = new Float64Array(pairs.length);
    roomField(size, pairs).evaluate(k, [k * k, 0], re, im);
    const mean = re.reduce((a, b) => a + b) / pairs.length;
    expectClose(2 * Math.PI * f * air.density * mean, wanted, 2e-5, "Rayleigh, Theory of Sound, section 255; rigid tube L = 2.4 m, S = 1.54 m^2");
  }
});

test.each([[0.05, 1.89435, 1.84659, 389.292], [0.1, 0.947176, 0.898986, 275.271], [0.2, 0.473588, 0.424469, 194.646], [0.3, 0.315725, 0.265557, 158.928], [0.5, 0.189435, 0.136649, 123.105]])(
  "absorption %f: reverberation after Sabine and Eyring, Schroeder frequency",
  (coefficient, sabine, eyring, schroeder) => {
    const room = { size: hall.size, loss: { kind: "absorption", coefficient, law: "Sabine" } } as const;
    expectClose(reverberationTime(room, 100, air), sabine, 5e-6, "Sabine 1922: T = (24 ln 10/c) V/(S a)");
    expectClose(reverberationTime({ ...room, loss: { ...room.loss, law: "Eyring" } }, 100, air), eyring, 5e-6, "Eyring, J. Acoust. Soc. Am. 1 (1930) 217");
    expectClose(schroederFrequency(room, air), schroeder, 2e-5, "Schroeder, J. Acoust. Soc. Am. 99 (1996) 3240: 2000 sqrt(T/V)");
  },
);

test("absorption over frequency is interpolated and gives the decay of that frequency", () => {
  const room = { size: hall.size, loss: { kind: "absorption", coefficient: { frequencies: Float64Array.of(50, 200), values: Float64Array.of(0.1, 0.3) }, law: "Sabine" } } as const;
  expectClose(reverberationTime(room, 100, air), 0.473588, 2e-6, "Sabine 1922, coefficient 0.2 half way between on a logarithmic axis");
  expectClose(reverberationTime(room, 20, air), 0.947176, 2e-6, "Sabine 1922, held below the table");
});

describe("losses", () => {
  const f = Float64Array.from({ length: 60 }, (_, i) => 10 + 3 * i);
  const at = (loss: Parameters<typeof rectangularRoom>[0]["loss"]) => spaceTransfer(rectangularRoom({ size: [5, 4, 2.5], box: [0.4, 0.5, 0.3], listener: [3.1, 2.2, 1.2], loss }), [mouth()], 1, f, air);
  test("reverberation and the absorption that makes it give the same", () => {
    const a = at({ kind: "decay", rate: (3 * Math.LN10) / 0.947176 }), b = at({ kind: "absorption", coefficient: 0.1, law: "Sabine" });
    f.forEach((_, i) => expectComplexClose([a.re[i]!, a.im[i]!], [b.re[i]!, b.im[i]!], 1e-5, "T = 3 ln 10/d and Sabine 1922"));
  });

  test("the zeroth mode: damped with a decay, not with a loss factor", () => {
    const low = Float64Array.of(0.05), V = 50, k = (2 * Math.PI * 0.05) ;
    const place = { size: [5, 4, 2.5] as const, box: [0.4, 0.5, 0.3] as const, listener: [3.1, 2.2, 1.2] as const };
    const decay = spaceTransfer(rectangularRoom({ ...place, loss: { kind: "decay", rate: 9 } }), [mouth()], 1, low, air);
    const factor = spaceTransfer(rectangularRoom({ ...place, loss: { kind: "loss factor", factor: 0.06 } }), [mouth()], 1, low, air);
    const rc2 = (air.density * air.soundSpeed ** 2) / V;
    // rho c^2/V times w/(2 d w + j w^2) and 1/(j w)
    expectClose(Math.hypot(decay.re[0]!, decay.im[0]!), rc2 / Math.hypot(18, k), 1e-3, source);
    expectClose(Math.hypot(factor.re[0]!, factor.im[0]!), rc2 / k, 1e-5, source);
  });

  test("an undamped mode hit exactly is told; beside it everything is finite", () => {
    const bare = rectangularRoom({ size: [5, 4, 2.5], box: [0, 0, 0], listener: [5, 4, 2.5], loss: { kind: "decay", rate: 0 } });
    const mode = air.soundSpeed / 10, k = (2 * Math.PI * mode) / air.soundSpeed;
    expect(Number.isFinite(greens([5, 4, 2.5], [0, 0, 0], [5, 4, 2.5], 40, [((2 * Math.PI * 40) / air.soundSpeed) ** 2, 0])[1])).toBe(true);
    // at the mode itself either the division fails, which is told, or rounding keeps it apart, which gives a large finite number
    const answers = [0, 1e-15, -1e-15].map((off) => {
      try {
        const h = spaceTransfer(bare, [mouth()], 1, Float64Array.of(mode * (1 + off)), air);
        return Number.isFinite(h.re[0]!) && Number.isFinite(h.im[0]!) && Math.hypot(h.re[0]!, h.im[0]!) > 1e6 ? "large" : "wrong";
      } catch (error) {
        return error instanceof SolveError && error.message.includes("34.32 Hz") ? "told" : "wrong";
      }
    });
    expect(answers).not.toContain("wrong");
    expect(k).toBeGreaterThan(0);
  });
});

test("the load of an opening in a room tends to that of half space when the room is large and dead", () => {
  // decay 60 1/s: the echo from the nearest wall, 26 m there and back, is 40 dB down by the decay alone
  const area = 0.01, f = Float64Array.of(90, 105, 120);
  const room = rectangularRoom({ size: [30, 28, 26], box: [0, 14, 13], listener: [10, 14, 13], loss: { kind: "decay", rate: 60 } });
  const z = spaceRadiation(room, [mouth(area)], f, air);
  f.forEach((x, i) => {
    const k = (2 * Math.PI * x) / air.soundSpeed, a = Math.sqrt(area / Math.PI);
    expectClose(z.re[i]!, ((air.density * air.soundSpeed) / area) * ((k * a) ** 2 / 2), 0.02, "piston in a wall at low ka: (ka)^2/2, Beranek & Mellow 2012 chapter 13");
    expectClose(z.im[i]!, ((air.density * air.soundSpeed) / area) * ((8 * k * a) / (3 * Math.PI)), 0.02, "piston in a wall at low ka: 8 ka/(3 pi), Beranek & Mellow 2012 chapter 13");
  });
});
