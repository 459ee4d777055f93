import fc from "fast-check";
import { expect, test } from "vitest";
import { gaussLegendre } from "../../src/math/legendre.js";
import { elementModes } from "../../src/space/profile-elements.js";
import { type Corner, makeProfile, type Profile } from "../../src/space/profile.js";
import { profileModes } from "../../src/space/profile-modes.js";

const part = fc.integer({ min: 0, max: 1000 }).map((x) => x / 1000);

/** Floor and ceiling in steps: dividers, humps, seats, steps. */
const stepped: fc.Arbitrary<readonly Corner[]> = fc.array(fc.tuple(part, part, part), { minLength: 2, maxLength: 5 }).map((steps) => {
  const floor: Corner[] = [], ceiling: Corner[] = [];
  let x = 0;
  for (const [wide, low, high] of steps) {
    const to = x + 0.1 + 0.7 * wide;
    floor.push([x, 0.7 * low], [to, 0.7 * low]);
    ceiling.unshift([to, 0.8 + 0.4 * high], [x, 0.8 + 0.4 * high]);
    x = to;
  }
  const all = [...floor, ...ceiling];
  // steps of no height are no corners
  return all.filter((p, i) => Math.hypot(p[0] - all[(i + 1) % all.length]![0], p[1] - all[(i + 1) % all.length]![1]) > 0.002);
});

/** A star of edges at any angle. */
const star: fc.Arbitrary<readonly Corner[]> = fc.array(fc.tuple(part, part), { minLength: 4, maxLength: 9 }).map((rays) =>
  rays.map(([turn, far], i) => {
    const angle = (2 * Math.PI * (i + 0.7 * turn)) / rays.length, r = 0.35 + 0.9 * far;
    return [r * Math.cos(angle), r * Math.sin(angle)] as const;
  }),
);

/** Places and weights inside a polygon, upright strip by strip: knows nothing of triangles. */
function* inside({ corners, area }: Profile): Generator<readonly [Corner, number]> {
  const piece = 0.07 * Math.sqrt(area), { nodes, weights } = gaussLegendre(5), xs = [...new Set(corners.map(([x]) => x))].sort((a, b) => a - b);
  for (let s = 1; s < xs.length; s++) {
    // a steep edge runs a long way within a narrow strip
    const steepest = corners.reduce((most, [ax, az], v) => {
      const [bx, bz] = corners[(v + 1) % corners.length]!, middle = (xs[s]! + xs[s - 1]!) / 2;
      return ax > middle !== bx > middle ? Math.max(most, Math.abs((bz - az) / (bx - ax))) : most;
    }, 1);
    const pieces = Math.ceil(((xs[s]! - xs[s - 1]!) * steepest) / piece), step = (xs[s]! - xs[s - 1]!) / pieces;
    for (let i = 0; i < pieces; i++) {
      for (let g = 0; g < nodes.length; g++) {
        const x = xs[s - 1]! + step * (i + (1 + nodes[g]!) / 2);
        const cuts = corners.flatMap(([ax, az], v) => {
          const [bx, bz] = corners[(v + 1) % corners.length]!;
          return ax > x !== bx > x ? [az + ((x - ax) / (bx - ax)) * (bz - az)] : [];
        }).sort((a, b) => a - b);
        for (let c = 0; c < cuts.length; c += 2) {
          const parts = Math.ceil((cuts[c + 1]! - cuts[c]!) / piece), rise = (cuts[c + 1]! - cuts[c]!) / parts;
          for (let p = 0; p < parts; p++) for (let h = 0; h < nodes.length; h++) yield [[x, cuts[c]! + rise * (p + (1 + nodes[h]!) / 2)], (weights[g]! * weights[h]! * step * rise) / 4];
        }
      }
    }
  }
}

const several = 30;

test("shapes of modes are orthonormal over the inside, whatever the profile", { timeout: 180_000 }, () => {
  fc.assert(
    fc.property(fc.oneof(stepped, star), (corners) => {
      const profile = makeProfile(corners, { width: 1, where: "cabin" }), { squares, shapesAt } = profileModes(profile, 20 / Math.sqrt(profile.area)), count = Math.min(several, squares.length);
      const gram = new Float64Array(count * count);
      for (const [place, weight] of inside(profile)) {
        const shapes = shapesAt(place, count);
        for (let i = 0; i < count; i++) for (let j = 0; j <= i; j++) gram[i * count + j]! += (weight * shapes[i]! * shapes[j]!) / profile.area;
      }
      expect(squares[0]).toBe(0);
      for (let i = 0; i < count; i++) for (let j = 0; j <= i; j++) expect(Math.abs(gram[i * count + j]! - (i === j ? 1 : 0))).toBeLessThan(1e-3);
      for (let m = 1; m < squares.length; m++) expect(squares[m]!).toBeGreaterThan(m === 1 ? 1e-3 : squares[m - 1]! - 1e-9);
    }),
    { numRuns: 8, seed: 11, endOnFailure: true },
  );
});

test("polynomials of higher degree never raise a mode, and hardly lower it", { timeout: 180_000 }, () => {
  fc.assert(
    fc.property(fc.oneof(stepped, star), (corners) => {
      const profile = makeProfile(corners, { width: 1, where: "cabin" }), end = 20 / Math.sqrt(profile.area);
      const { squares } = elementModes(profile, end), finer = elementModes(profile, end, { moreDegrees: 2 }).squares;
      // below the end of the list, beyond which one may have a mode more
      expect(finer.length).toBeGreaterThanOrEqual(squares.length);
      for (let m = 1; m < squares.length; m++) {
        expect(finer[m]!).toBeLessThanOrEqual(squares[m]! * (1 + 1e-10));
        expect(finer[m]!).toBeGreaterThan(squares[m]! * (1 - 1e-4));
      }
    }),
    { numRuns: 5, seed: 12, endOnFailure: true },
  );
});
