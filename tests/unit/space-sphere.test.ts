import { describe, expect, test } from "vitest";
import { standardAir as air } from "../../src/air/air.js";
import type { OpeningElement } from "../../src/acoustics/network.js";
import { pistonImpedance } from "../../src/acoustics/piston.js";
import { sphereFactor, sphereMean, sphereRadius } from "../../src/space/opening-sphere.js";
import { makePlacement, placesOf } from "../../src/space/places.js";
import { rectangularRoom } from "../../src/space/room.js";
import { spaceRadiation } from "../../src/space/space.js";
import { expectComplexClose } from "../support/close.js";

const out = new Float64Array(2);

/** Points spread evenly over a sphere. */
function pointsOn(radius: number, x: number, count: number): Float64Array {
  const points = new Float64Array(3 * count);
  for (let i = 0; i < count; i++) {
    const z = 1 - (2 * (i + 0.5)) / count, r = Math.sqrt(1 - z * z), angle = i * Math.PI * (3 - Math.sqrt(5));
    points.set([x + radius * r * Math.cos(angle), radius * r * Math.sin(angle), radius * z], 3 * i);
  }
  return points;
}

describe("mean over two spheres", () => {
  test.each([
    ["apart", 0.1, 0.07, 0.3],
    ["crossing", 0.1, 0.07, 0.12],
    ["crossing, the smaller centre inside", 0.1, 0.07, 0.06],
    ["one inside the other", 0.1, 0.03, 0.05],
    ["a point inside", 0.1, 0, 0.04],
  ])("%s: as the mean over points of both", (_, a, b, d) => {
    for (const k of [{ re: 0.5, im: 0 }, { re: 20, im: 0 }, { re: 12, im: -3 }]) {
      sphereMean(k, a, b, d, out);
      const from = pointsOn(a, 0, 1500), to = b === 0 ? Float64Array.of(d, 0, 0) : pointsOn(b, d, 1301);
      let re = 0, im = 0;
      for (let i = 0; i < from.length; i += 3) {
        for (let j = 0; j < to.length; j += 3) {
          const r = Math.hypot(from[i]! - to[j]!, from[i + 1]! - to[j + 1]!, from[i + 2]! - to[j + 2]!), size = Math.exp(k.im * r) / r;
          re += size * Math.cos(k.re * r);
          im -= size * Math.sin(k.re * r);
        }
      }
      const scale = 9 / (4 * Math.PI * from.length * to.length);
      expectComplexClose([out[0]!, out[1]!], [re * scale, im * scale], 3e-3, "sum over evenly spread points");
      sphereMean(k, b, a, d, out);
      expectComplexClose([out[0]!, out[1]!], [re * scale, im * scale], 3e-3, "the same, exchanged");
    }
  });

  test("the factor has its series at small arguments", () => {
    for (const k of [{ re: 1, im: 0 }, { re: 1, im: -0.4 }]) {
      sphereFactor(k, 0.99e-4, out);
      const below = [out[0]!, out[1]!] as const;
      sphereFactor(k, 1.01e-4, out);
      expectComplexClose([out[0]!, out[1]!], below, 1e-9, "sin x/x = 1 - x^2/6");
    }
  });

  test("the piston never radiates less than the sphere that stands for it, but for 0.3 %", () => {
    const z = { re: 0, im: 0 }, area = 0.02, b = sphereRadius(area);
    for (let f = 10; f < 5000; f *= 1.05) {
      const k = (2 * Math.PI * f) / air.soundSpeed;
      pistonImpedance(f, area, 4 * Math.PI, air, z);
      sphereMean({ re: k, im: 0 }, b, b, 0, out);
      expect(z.re).toBeGreaterThan(-2 * Math.PI * f * air.density * out[1]! * 0.997);
      if (f < 100) expect(z.re / (-2 * Math.PI * f * air.density * out[1]!)).toBeLessThan(1.0001);
    }
  });
});

const opening = (name: string, area?: number, detours?: readonly number[]): OpeningElement => ({ kind: "opening", name, node: name, area, load: { kind: "space" }, massInDriver: false, ...(detours === undefined ? {} : { detours }) });

test("radiation in a room has no step where two spheres begin to touch, nor where they come together", () => {
  const area = 0.02, b = sphereRadius(area), f = Float64Array.of(40, 200, 420);
  const at = (d: number) => spaceRadiation(rectangularRoom({ size: [5, 4, 2.5], loss: { kind: "decay", rate: 9 }, box: [2, 2, 1], places: { a: [2, 2, 1], b: [2 + d, 2, 1] } }), [opening("a", area), opening("b", area)], f, air);
  for (const d of [2 * b, 1e-7]) {
    const below = at(d * (1 - 1e-6)), above = at(d * (1 + 1e-6));
    f.forEach((_, i) => expectComplexClose([below.re[4 * i + 1]!, below.im[4 * i + 1]!], [above.re[4 * i + 1]!, above.im[4 * i + 1]!], 2e-5, "continuity"));
  }
});

describe("places of openings", () => {
  const room = [[0, 5], [0, 4], [0, 2.5]] as const;
  const area = Math.PI * 0.1 ** 2;
  test("a single one is at the box, two stand side by side with touching circles, named ones where they are put", () => {
    const placement = makePlacement({ box: [1, 2, 0.3], places: { port: [1, 3, 0.2] } }, room, "room");
    expect(placesOf(placement, [opening("cone", area)], room)).toEqual([[1, 2, 0.3]]);
    const [a, p, b] = placesOf(placement, [opening("cone", area), opening("port", area), opening("cone 2", area)], room);
    expect(p).toEqual([1, 3, 0.2]);
    expect(a![1]).toBeCloseTo(1.9, 12);
    expect(b![1]).toBeCloseTo(2.1, 12);
  });

  test("a row is moved in from a wall, and pressed together where the room is too small; a leak has no width", () => {
    const corner = makePlacement({ box: [0, 0, 0] }, room, "room");
    expect(placesOf(corner, [opening("a", area), opening("b", area)], room).map((p) => p[1])).toEqual([0, expect.closeTo(0.2, 12)]);
    expect(placesOf(corner, [opening("a", area), opening("leak")], room).map((p) => p[1])).toEqual([0, expect.closeTo(0.1, 12)]);
    const narrow = [[0, 1], [0, 0.1], [0, 1]] as const;
    expect(placesOf(makePlacement({ box: [0, 0.05, 0] }, narrow, "room"), [opening("a", area), opening("b", area)], narrow).map((p) => p[1])).toEqual([expect.closeTo(0, 12), expect.closeTo(0.1, 12)]);
  });

  test("the back of a baffle stands behind it, not through the wall", () => {
    const placement = makePlacement({ box: [1, 2, 1] }, room, "room");
    expect(placesOf(placement, [opening("cone", area), opening("back", area, [0.2, 0.4])], room)).toEqual([[1, 2, 1], [expect.closeTo(0.4, 12), 2, 1]]);
    expect(placesOf(placement, [opening("back", area, [2])], room)[0]![0]).toBe(0);
  });
});
