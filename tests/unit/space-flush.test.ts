import { describe, expect, test } from "vitest";
import { standardAir as air } from "../../src/air/air.js";
import type { OpeningElement } from "../../src/acoustics/network.js";
import { flushGroup } from "../../src/space/flush-group.js";
import { freeSpace } from "../../src/space/free.js";
import { rectangularRoom } from "../../src/space/room.js";
import { spaceRadiation } from "../../src/space/space.js";
import { imagesIn, walledSpace, type WalledSpace } from "../../src/space/walls.js";
import { between, type Point } from "../../src/space/places.js";
import { expectComplexClose } from "../support/close.js";

const radius = 0.1, area = Math.PI * radius ** 2;
const mouth: OpeningElement = { kind: "opening", name: "mouth", node: "mouth", area, load: { kind: "space" }, massInDriver: false };
const f = Float64Array.of(5, 40, 90);
const groupAt = (walls: WalledSpace["walls"], point: Point): number => flushGroup(mouth, Float64Array.from(imagesIn(walls, point), (image) => between(image, point)).sort()).length;

describe("an opening near a wall", () => {
  test("is flush with it nearer than half its radius: 0.503 of it", () => {
    // piston in the open 8 rho/(3 pi^2 a sqrt 2) and a sphere rho/(4 pi D) have the mass of the piston in the wall, 8 rho/(3 pi^2 a), at D = 1.00556 a; by hand
    for (const [d, images] of [[0.5, 2], [0.5025, 2], [0.503, 1], [0.52, 1], [0.98, 1], [0.26, 2], [0.24, 2], [0, 2]] as const) expect(groupAt([0, undefined, undefined], [d * radius, 0, 0]), `${d}`).toBe(images);
  });

  test("in a corner it joins the nearest walls first, all at the corner itself", () => {
    expect(groupAt([0, 0, undefined], [0, 0, 0])).toBe(4);
    expect(groupAt([0, 0, 0], [0, 0, 0])).toBe(8);
    expect(groupAt([0, 0, undefined], [0.1 * radius, 2 * radius, 0])).toBe(2);
    expect(groupAt([0, 0, 0], [3 * radius, 3 * radius, 3 * radius])).toBe(1);
  });

  test.each([["one wall", [0, undefined, undefined]], ["two walls", [0, 0, undefined]], ["three walls", [0, 0, 0]]] as const)("%s: the reactance grows towards them without a step, up to that of images that move as one", (name, walls) => {
    const space = (d: number) => walledSpace({ ...(walls[0] === undefined ? {} : { rear: 0 }), ...(walls[1] === undefined ? {} : { side: 0 }), ...(walls[2] === undefined ? {} : { floor: 0 }), box: [d, d, d] });
    let before = 0;
    for (let d = 6 * radius; d > 0; d -= 0.005 * radius) {
      const { im } = spaceRadiation(space(d), [mouth], f.slice(0, 1), air);
      if (before > 0) {
        expect(im[0]! / before, `${d} m`).toBeGreaterThan(1 - 1e-4);
        expect(im[0]! / before, `${d} m`).toBeLessThan(1.01);
      }
      before = im[0]!;
    }
    const wall = spaceRadiation(freeSpace({ "one wall": "half", "two walls": "quarter", "three walls": "eighth" }[name]), [mouth], f.slice(0, 1), air);
    expect(before / wall.im[0]!).toBeCloseTo(1, 4);
  });

  test("the whole impedance has no step where it becomes flush, in the open and in a room", () => {
    for (const space of [(d: number) => walledSpace({ floor: 0, box: [0, 0, d] }), (d: number) => rectangularRoom({ size: [5, 4, 2.5], loss: { kind: "decay", rate: 9 }, box: [2.2, 1.7, d], listener: [4, 3, 1] })]) {
      const near = spaceRadiation(space(0.5025 * radius), [mouth], f, air), far = spaceRadiation(space(0.5035 * radius), [mouth], f, air);
      f.forEach((x, i) => expectComplexClose([near.re[i]!, near.im[i]!], [far.re[i]!, far.im[i]!], 0.002, `continuity at ${x} Hz`));
    }
  });
});
