import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { standardAir as air } from "../../src/air/air.js";
import type { OpeningElement } from "../../src/acoustics/network.js";
import type { RadiationMatrix } from "../../src/acoustics/solve.js";
import { makeCabin } from "../../src/space/cabin.js";
import { freeSpace } from "../../src/space/free.js";
import type { Corner } from "../../src/space/profile.js";
import { rectangularRoom, type RoomLoss } from "../../src/space/room.js";
import { type Point, type Space, spaceRadiation, spaceTransfer } from "../../src/space/space.js";
import { walledSpace } from "../../src/space/walls.js";

const seed = 20263;
const frequencies = Float64Array.of(0.3, 7, 19, 33, 52, 88, 131, 260, 400);
const share = fc.double({ min: 0, max: 1, noNaN: true });
const point: fc.Arbitrary<Point> = fc.tuple(share, share, share);
const side = fc.double({ min: 1, max: 6, noNaN: true });
const area = fc.double({ min: 1e-4, max: 0.1, noNaN: true });
const loss: fc.Arbitrary<RoomLoss> = fc.oneof(
  fc.double({ min: 0.5, max: 60, noNaN: true }).map((rate) => ({ kind: "decay", rate }) as const),
  fc.double({ min: 0.01, max: 0.9, noNaN: true }).map((coefficient) => ({ kind: "absorption", coefficient, law: "Eyring" }) as const),
  fc.double({ min: 0.005, max: 0.2, noNaN: true }).map((factor) => ({ kind: "loss factor", factor }) as const),
);
const inside = (size: Point, p: Point): Point => [p[0] * size[0], p[1] * size[1], p[2] * size[2]];

/** Side profiles in which every place is seen from one (the first of each), with a corner that points inwards, flat ones, sharp ones. */
const profiles: readonly { readonly middle: Corner; readonly corners: readonly Corner[] }[] = [
  { middle: [1.2, 0.7], corners: [[0, 0.3], [0.92, 0.3], [0.98, 0.08], [2.36, 0.08], [2.66, 0.44], [2.31, 0.8], [1.74, 1.21], [0.52, 1.23], [0.04, 0.78]] },
  { middle: [-0.5, -0.5], corners: [[-1, -1], [1, -1], [1, 0], [0, 0], [0, 1], [-1, 1]] },
  { middle: [1, 0.5], corners: [[0, 0], [1.6, 0], [3, 0.1], [0.4, 1.9]] },
];
const insideProfile = ({ middle, corners }: (typeof profiles)[number], [a, b, c]: Point): Point => {
  const at = a * corners.length, i = Math.min(corners.length - 1, Math.floor(at)), p = corners[i]!, q = corners[(i + 1) % corners.length]!, t = at - i;
  return [middle[0] + b * (p[0] + t * (q[0] - p[0]) - middle[0]), c * 1.4, middle[1] + b * (p[1] + t * (q[1] - p[1]) - middle[1])];
};

interface Sample {
  readonly space: Space;
  readonly swapped: Space;
  readonly openings: readonly OpeningElement[];
  readonly kind: string;
}

const opening = (name: string, S: number, massInDriver = false): OpeningElement => ({ kind: "opening", name, node: name, area: S, load: { kind: "space" }, massInDriver });

/** Any space with three openings anywhere, some of them at the place of the box. */
const sample: fc.Arbitrary<Sample> = fc
  .record({ kind: fc.constantFrom("room", "cabin", "profile", "walls", "free"), profile: fc.constantFrom(...profiles), size: fc.tuple(side, side, side), points: fc.tuple(point, point, point, point), areas: fc.tuple(area, area, area), loss, named: fc.boolean(), volume: fc.double({ min: 0.6, max: 1.5, noNaN: true }), leak: fc.option(fc.double({ min: 500, max: 1e6, noNaN: true })), flex: fc.option(fc.double({ min: 1e-7, max: 1e-4, noNaN: true })), walls: fc.tuple(fc.boolean(), fc.boolean(), fc.boolean()) })
  .map(({ kind, profile, size, points, areas, loss: lost, named, volume, leak, flex, walls }) => {
    const [a, b, c, d] = points.map((p) => (kind === "profile" ? insideProfile(profile, p) : inside(size, p))) as [Point, Point, Point, Point];
    const make = (box: Point, listener: Point): Space => {
      const placement = { box, listener, places: named ? { second: b, third: c } : { third: c } };
      if (kind === "room") return rectangularRoom({ size, loss: lost, ...placement });
      if (kind === "cabin") return makeCabin({ size, volume: volume * size[0] * size[1] * size[2], lossFactor: 0.05, ...(leak === null ? {} : { leak }), ...(flex === null ? {} : { flex: { kind: "compliance", compliance: flex, lossFactor: 0.1, sides: ["length", "height"] } }), ...placement });
      if (kind === "profile") return makeCabin({ profile: profile.corners, width: 1.4, lossFactor: 0.05, ...(leak === null ? {} : { leak }), ...(flex === null ? {} : { flex: named ? { kind: "compliance", compliance: flex, lossFactor: 0.1, sides: ["length", "width"] } : { kind: "impedance", resistance: 0.4 / flex, mass: 3, stiffness: 1e4, sides: ["length", "height"] } }), ...placement });
      if (kind === "walls") return walledSpace({ ...(walls[0] ? { rear: 0 } : {}), ...(walls[1] ? { side: 0 } : {}), ...(walls[2] ? { floor: 0 } : {}), ...placement });
      return freeSpace("half", placement);
    };
    return { kind, space: make(a, d), swapped: make(d, a), openings: [opening("first", areas[0]), opening("second", areas[1]), opening("third", areas[2])] };
  });

/** Least and largest eigenvalue of the real part of a symmetric 3 x 3 matrix. */
function eigenvalues({ re }: RadiationMatrix, f: number): readonly [number, number] {
  const a = (i: number, j: number): number => re[f * 9 + 3 * i + j]!;
  // closed form by the angle of the characteristic polynomial; scaled by its mean
  const q = (a(0, 0) + a(1, 1) + a(2, 2)) / 3;
  const p = Math.sqrt(((a(0, 0) - q) ** 2 + (a(1, 1) - q) ** 2 + (a(2, 2) - q) ** 2 + 2 * (a(0, 1) ** 2 + a(0, 2) ** 2 + a(1, 2) ** 2)) / 6);
  if (p === 0) return [q, q];
  const b = (i: number, j: number): number => (a(i, j) - (i === j ? q : 0)) / p;
  const half = (b(0, 0) * (b(1, 1) * b(2, 2) - b(1, 2) ** 2) - b(0, 1) * (b(0, 1) * b(2, 2) - b(1, 2) * b(0, 2)) + b(0, 2) * (b(0, 1) * b(1, 2) - b(1, 1) * b(0, 2))) / 2;
  const angle = Math.acos(Math.min(1, Math.max(-1, half))) / 3;
  return [q + 2 * p * Math.cos(angle + (2 * Math.PI) / 3), q + 2 * p * Math.cos(angle)];
}

describe("any space", () => {
  test("radiation is symmetric, finite and passive: no flows take power out of the air", () => {
    let worst = 0;
    fc.assert(
      fc.property(sample, ({ space, openings }) => {
        const z = spaceRadiation(space, openings, frequencies, air);
        frequencies.forEach((_, f) => {
          for (let i = 0; i < 3; i++) {
            for (let j = 0; j < 3; j++) {
              const at = f * 9 + 3 * i + j, mirrored = f * 9 + 3 * j + i;
              expect(Number.isFinite(z.re[at]) && Number.isFinite(z.im[at])).toBe(true);
              expect(z.re[at]).toBe(z.re[mirrored]);
              expect(z.im[at]).toBe(z.im[mirrored]);
            }
          }
          const [least, largest] = eigenvalues(z, f);
          let size = 0;
          for (let i = 0; i < 9; i++) size = Math.max(size, Math.abs(z.im[f * 9 + i]!));
          worst = Math.min(worst, (least + 2e-3 * Math.max(0, largest)) / size);
          // the piston in the place of its sphere may be short of it by 0.3 %, rounding by 1e-9 of the reactance
          expect(least, `${frequencies[f]} Hz`).toBeGreaterThan(-2e-3 * Math.max(0, largest) - 1e-9 * size);
        });
      }),
      { seed, numRuns: 60 },
    );
    console.log(`least eigenvalue of the resistances, beyond 0.2 % of the largest, over the reactances: ${worst.toExponential(1)}`);
  });

  test("source and listener may be exchanged", () => {
    fc.assert(
      fc.property(sample.filter(({ kind }) => kind !== "free"), ({ space, swapped }) => {
        const point = [{ ...opening("first", 1e-10), name: "alone" }];
        const { box, listener } = (space as { readonly placement: { readonly box: Point; readonly listener: Point } }).placement;
        if (Math.hypot(box[0] - listener[0], box[1] - listener[1], box[2] - listener[2]) < 0.01) return; // the listener in the opening
        const a = spaceTransfer(space, point, 1, frequencies, air), b = spaceTransfer(swapped, point, 1, frequencies, air);
        frequencies.forEach((_, f) => expect(Math.hypot(a.re[f]! - b.re[f]!, a.im[f]! - b.im[f]!)).toBeLessThanOrEqual(1e-7 * Math.hypot(a.re[f]!, a.im[f]!)));
      }),
      { seed, numRuns: 60 },
    );
  });

  test("the mutual impedance of two small openings is the transfer from one to the other", () => {
    fc.assert(
      fc.property(sample, ({ space }) => {
        if (space.kind === "measured" || space.placement === undefined) return;
        const { box, listener } = space.placement, small = [opening("a", 1e-8), opening("b", 1e-8)];
        const both: Space = { ...space, placement: { box, listener, places: { a: box, b: listener! } } };
        const z = spaceRadiation(both, small, frequencies, air), h = spaceTransfer(both, [small[0]!], 1, frequencies, air);
        const way = Math.hypot(box[0] - listener![0], box[1] - listener![1], box[2] - listener![2]);
        if (way < 1e-3) return;
        frequencies.forEach((x, f) => {
          const k = (2 * Math.PI * x) / air.soundSpeed, c = Math.cos(k * way), s = Math.sin(k * way);
          const re = h.re[f]! * c + h.im[f]! * s, im = h.im[f]! * c - h.re[f]! * s;
          expect(Math.hypot(re - z.re[f * 4 + 1]!, im - z.im[f * 4 + 1]!)).toBeLessThanOrEqual(1e-6 * Math.hypot(re, im));
        });
      }),
      { seed, numRuns: 60 },
    );
  });
});
