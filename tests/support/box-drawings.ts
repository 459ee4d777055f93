import type { BoxDrawing } from "../../src/cut/box-drawing.js";
import type { CutOptions } from "../../src/cut/cut-layers.js";
import { makeShape, type PlanePoint } from "../../src/geometry/shape.js";

/** Sizes of a drawn box, m; all invented. */
export interface DrawnSizes {
  readonly length: number;
  readonly height: number;
  readonly wall: number;
  readonly divider: number;
  readonly depth: number;
}

export const usualSizes: DrawnSizes = { length: 0.6, height: 0.42, wall: 0.018, divider: 0.012, depth: 0.15 };

/** One channel back and forth between straight dividers, mouth at the end of the last run. */
export function serpentineDrawing(runs: number, sizes: DrawnSizes = usualSizes): BoxDrawing {
  const { length, height, wall, divider, depth } = sizes;
  const run = (height - 2 * wall - (runs - 1) * divider) / runs, gap = run, right = length - wall;
  const low = (i: number): number => wall + i * (run + divider);
  // up along the left side of the air, and down along its right side
  const up: PlanePoint[] = [], down: PlanePoint[] = [];
  for (let i = 0; i < runs; i++) {
    const mouthRight = i === runs - 1 && i % 2 === 0, mouthLeft = i === runs - 1 && i % 2 === 1;
    const from: number = mouthLeft ? 0 : wall, to = mouthRight ? length : right;
    // run i turns into run i + 1 at its right end where i is even
    up.push([from, low(i)], [from, low(i) + run]);
    down.push([to, low(i)], [to, low(i) + run]);
    if (i + 1 < runs) {
      if (i % 2 === 0) up.push([right - gap, low(i) + run], [right - gap, low(i + 1)]);
      else down.push([wall + gap, low(i) + run], [wall + gap, low(i + 1)]);
    }
  }
  return { name: `serpentine of ${runs}`, outer: [length, height], depth, wall, divider, air: makeShape([...down, ...up.reverse()]), boardHoles: [] };
}

/** Throat and mouth side by side with a slanted divider between them, and a driver on it. */
export function pairedDrawing(sizes: DrawnSizes = usualSizes, driver: { readonly diameter: number; readonly frame: number } | null = { diameter: 0.09, frame: 0.11 }): BoxDrawing {
  const { length, height, wall, divider, depth } = sizes, near = 0.055, far = 0.15, end = length - wall - 0.13, bottom = wall;
  const slope = (far - near) / (end - wall), at = (x: number): number => bottom + near + slope * (x - wall);
  const across = divider / Math.cos(Math.atan(slope));
  const air = makeShape([
    [wall, bottom], [length - wall, bottom], [length - wall, height - wall], [0, height - wall], [0, at(wall) + across],
    [wall, at(wall) + across], [end, at(end) + across], [end, at(end)], [wall, at(wall)],
  ]);
  const x = wall + 0.2;
  return { name: "paired", outer: [length, height], depth, wall, divider, air, boardHoles: driver !== null ? [{ name: "driver", centre: [x, at(x) + across / 2], angle: Math.atan(slope), ...driver }] : [] };
}

/** One channel wound inwards round an island of wood that touches nothing. */
export function islandDrawing(sizes: DrawnSizes = usualSizes): BoxDrawing {
  const { length, height, wall, depth } = sizes, run = 0.07;
  const hole: PlanePoint[] = [[wall + run, wall + run], [length - wall - run, wall + run], [length - wall - run, height - wall - run], [wall + run, height - wall - run]];
  const air = makeShape([[wall, wall], [length, wall], [length, wall + run], [length - wall, wall + run], [length - wall, height - wall], [wall, height - wall]], [hole]);
  return { name: "ring", outer: [length, height], depth, wall, air, boardHoles: [] };
}

/** A small bed, a laser's cut, screws and dowels; m. */
export const usualCut: CutOptions = {
  thickness: 0.0058,
  outerWalls: "single",
  split: { bed: [0.4, 0.3], mayTurn: true, sizes: { smallestNeck: 0.0025, largestHead: 0.03 }, cornerDistance: 0.02, stagger: 0.04 },
  making: { kerf: 0.0002, jointGap: 0.0001, tabs: { width: 0.0008, below: 0.06 } },
  pilotHoles: { diameter: 0.0025, spacing: 0.12, edgeDistance: 0.0055 },
  screwLength: 0.016,
  dowels: { diameter: 0.006, count: 3 },
};
