import { describe, expect, test } from "vitest";
import { standardAir as air } from "../../src/air/air.js";
import type { OpeningElement } from "../../src/acoustics/network.js";
import { freeSpace } from "../../src/space/free.js";
import { spaceRadiation, spaceTransfer } from "../../src/space/space.js";
import { walledSpace } from "../../src/space/walls.js";
import { expectClose, expectComplexClose } from "../support/close.js";

// so small that it acts as a point: 0.1 mm^2
const small = (name = "mouth", area = 1e-7): OpeningElement => ({ kind: "opening", name, node: name, area, load: { kind: "space" }, massInDriver: false });
const frequencyOf = (kd: number, d: number): number => (kd * air.soundSpeed) / (2 * Math.PI * d);
const d = 0.5;
const places = { mouth: [d, d, d] as const };
const corners = [walledSpace({ rear: 0, places }), walledSpace({ rear: 0, side: 0, places }), walledSpace({ rear: 0, side: 0, floor: 0, places })];

/** Resistance of a point over that in full space, and reactance beyond that in full space over the same. */
function normalised(walls: number, kd: number): [number, number] {
  const f = Float64Array.of(frequencyOf(kd, d));
  const before = spaceRadiation(corners[walls - 1]!, [small()], f, air), full = spaceRadiation(freeSpace("full"), [small()], f, air);
  const k = (2 * Math.PI * f[0]!) / air.soundSpeed, free = (air.density * air.soundSpeed * k * k) / (4 * Math.PI);
  return [before.re[0]! / free, (before.im[0]! - full.im[0]!) / free];
}

describe("a small source at equal distances from one, two and three walls", () => {
  const source = "images with Z12 = (rho c k^2/4 pi)(sin kD + j cos kD)/(kD): Waterhouse, J. Acoust. Soc. Am. 27 (1955) 247 and 30 (1958) 4";
  test.each([
    [0.05, 1.99833, 9.95004, 3.99334, 26.9006, 7.98002, 56.5387],
    [0.1, 1.99335, 4.90033, 3.97341, 13.1957, 7.92032, 27.6014],
    [0.25, 1.95885, 1.75517, 3.83643, 4.58548, 7.51233, 9.23902],
    [0.5, 1.84147, 0.540302, 3.3814, 1.19087, 6.18964, 1.85902],
    [1, 1.45465, -0.208073, 2.01822, -0.752504, 2.59921, -1.90709],
    [1.5, 1.04704, -0.329997, 0.883908, -0.766688, 0.340239, -1.22056],
    [2, 0.810799, -0.163411, 0.517976, -0.1836, 0.208309, 0.0547706],
    [3, 0.953431, 0.160028, 1.002, 0.250502, 1.06646, 0.216828],
    [5, 0.945598, -0.0839072, 0.961906, -0.168166, 0.991238, -0.250366],
  ])("kd = %f", (kd, ...wanted) => {
    for (const walls of [1, 2, 3]) {
      const [r, x] = normalised(walls, kd);
      expectClose(r, wanted[2 * walls - 2]!, 1e-5, source, 1e-5);
      // the reactance beyond full space is a small difference of large ones
      expectClose(x, wanted[2 * walls - 1]!, 1e-4, source, 1e-4);
    }
  });

  test("first minimum of the power: kd 2.24670 and -1.064 dB at one wall, kd 1.76822 and -11.365 dB in a corner", () => {
    const minimum = (walls: number): [number, number] => {
      let best = [0, Infinity] as [number, number];
      for (let kd = 1; kd < 3; kd += 1e-4) {
        const r = normalised(walls, kd)[0];
        if (r < best[1]) best = [kd, r];
      }
      return best;
    };
    const one = minimum(1), three = minimum(3);
    expectClose(one[0], 2.2467, 1e-4, source);
    expectClose(10 * Math.log10(one[1]), -1.064, 5e-4, `${source}; Allison, J. Audio Eng. Soc. 22 (1974) 314 reads about -1 dB`);
    expectClose(three[0], 1.76822, 1e-4, source);
    expectClose(10 * Math.log10(three[1]), -11.365, 5e-4, `${source}; Allison 1974 reads about -11 dB`);
  });
});

describe("walls that the opening touches", () => {
  test.each([["half", 1], ["quarter", 2], ["eighth", 3]] as const)("%s space: the same impedance and transfer", (name, count) => {
    const f = Float64Array.of(5, 20, 50, 120, 300, 700), mouth = { ...small(), area: 0.03 };
    const walls = walledSpace({ rear: 0, ...(count > 1 ? { side: 0 } : {}), ...(count > 2 ? { floor: 0 } : {}) });
    const a = spaceRadiation(walls, [mouth], f, air), b = spaceRadiation(freeSpace(name), [mouth], f, air);
    const ta = spaceTransfer(walls, [mouth], 2, f, air), tb = spaceTransfer(freeSpace(name), [mouth], 2, f, air);
    f.forEach((_, i) => {
      expectComplexClose([a.re[i]!, a.im[i]!], [b.re[i]!, b.im[i]!], 1e-12, "images, Rayleigh, Theory of Sound, section 278");
      expectComplexClose([ta.re[i]!, ta.im[i]!], [tb.re[i]!, tb.im[i]!], 1e-12, "images, Rayleigh, Theory of Sound, section 278");
    });
  });

  test("it does not matter where the places are counted from", () => {
    const f = Float64Array.of(20, 90, 260), mouth = { ...small(), area: 0.02 };
    const a = walledSpace({ rear: 0, floor: 0, places: { mouth: [0.6, 1, 0.4] }, listener: [2, 1.5, 1] }), b = walledSpace({ rear: -0.6, floor: -0.4, places: { mouth: [0, 0, 0] }, listener: [1.4, 0.5, 0.6] });
    const [za, zb, ta, tb] = [spaceRadiation(a, [mouth], f, air), spaceRadiation(b, [mouth], f, air), spaceTransfer(a, [mouth], 1, f, air), spaceTransfer(b, [mouth], 1, f, air)];
    f.forEach((_, i) => {
      expectComplexClose([za.re[i]!, za.im[i]!], [zb.re[i]!, zb.im[i]!], 1e-9, "the same walls");
      expectComplexClose([ta.re[i]!, ta.im[i]!], [tb.re[i]!, tb.im[i]!], 1e-9, "the same walls");
    });
  });

  test("far walls leave full space: the image at 2 km adds less than 1e-3", () => {
    const f = Float64Array.of(20, 100), far = walledSpace({ rear: -1000 }), mouth = { ...small(), area: 0.03 };
    const a = spaceRadiation(far, [mouth], f, air), b = spaceRadiation(freeSpace("full"), [mouth], f, air);
    f.forEach((_, i) => expectComplexClose([a.re[i]!, a.im[i]!], [b.re[i]!, b.im[i]!], 1e-3, "images"));
  });
});

describe("two openings in free space", () => {
  const source = "Z12 = j w rho e^{-jkD}/(angle D), Pritchard, J. Acoust. Soc. Am. 32 (1960) 730";
  test.each([["full", 4 * Math.PI], ["half", 2 * Math.PI], ["quarter", Math.PI]] as const)("mutual impedance in %s space", (name, angle) => {
    const f = Float64Array.of(20, 80, 250, 600), apart = 0.35;
    const z = spaceRadiation(freeSpace(name, { places: { a: [0, 0, 0], b: [0, apart, 0] } }), [small("a"), small("b")], f, air);
    f.forEach((x, i) => {
      const w = 2 * Math.PI * x, k = w / air.soundSpeed, size = (w * air.density) / (angle * apart);
      for (const at of [4 * i + 1, 4 * i + 2]) expectComplexClose([z.re[at]!, z.im[at]!], [size * Math.sin(k * apart), size * Math.cos(k * apart)], 3e-6, source);
    });
  });

  test("their power is what arrives far away, over all directions: 1 % for circles of 50 mm radius 0.3 m apart up to 200 Hz", () => {
    const area = Math.PI * 0.05 ** 2, apart = 0.3, radius = 300;
    const openings = [small("a", area), small("b", area)], places = { a: [0, 0, 0], b: [0, apart, 0] } as const;
    const flow = [[1, 0], [0.4, -0.7]] as const; // two flows that are not in phase
    for (const f of [30, 80, 200]) {
      const at = Float64Array.of(f), z = spaceRadiation(freeSpace("full", { places }), openings, at, air);
      let radiated = 0;
      for (let i = 0; i < 2; i++) for (let j = 0; j < 2; j++) radiated += (flow[i]![0] * flow[j]![0] + flow[i]![1] * flow[j]![1]) * z.re[2 * i + j]!;
      // Gauss points would do better; the sum over rings around the axis y through both is exact enough at 400 rings
      let arriving = 0;
      const rings = 400;
      for (let r = 0; r < rings; r++) {
        const cosine = -1 + (2 * (r + 0.5)) / rings, sine = Math.sqrt(1 - cosine * cosine);
        const listener = [radius * sine, radius * cosine, 0] as const;
        const h = spaceTransfer(freeSpace("full", { places, listener }), openings, 1, at, air);
        const re = h.re[0]! * flow[0][0] - h.im[0]! * flow[0][1] + h.re[1]! * flow[1][0] - h.im[1]! * flow[1][1];
        const im = h.re[0]! * flow[0][1] + h.im[0]! * flow[0][0] + h.re[1]! * flow[1][1] + h.im[1]! * flow[1][0];
        arriving += ((re * re + im * im) / (air.density * air.soundSpeed)) * ((4 * Math.PI * radius * radius) / rings);
      }
      expectClose(radiated, arriving, 0.01, "conservation of energy; the rest is (ka)^2/12 of a circle of finite size");
    }
  });

  test("openings without places do not act on each other, as before", () => {
    const z = spaceRadiation(freeSpace("half"), [small("a"), small("b")], Float64Array.of(50), air);
    expect([z.re[1], z.im[1], z.re[2], z.im[2]]).toEqual([0, 0, 0, 0]);
  });
});
