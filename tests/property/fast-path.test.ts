import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import type { CrossSection } from "../../src/acoustics/cross-section.js";
import { networkWithDriver, type NetworkElement, openingsOf } from "../../src/acoustics/network.js";
import { solveNetwork } from "../../src/acoustics/solve.js";
import { responseRow, responseRows } from "../../src/acoustics/fast/driver-scan.js";
import { makePathGrid } from "../../src/acoustics/fast/grid.js";
import { solvePath } from "../../src/acoustics/fast/path-kernel.js";
import { makePathWork } from "../../src/acoustics/fast/path-plan.js";
import { type LoadArrays, type PathFace, type SinglePath, volumeLoad } from "../../src/acoustics/fast/single-path.js";
import { driverB as driver } from "../support/drivers.js";
import { plainPath } from "../support/plain-path.js";

const seed = 20250411;
const frequencies = Float64Array.of(7, 15, 31, 60, 97, 180, 333, 500, 1100);
const n = frequencies.length;
const grid = makePathGrid(frequencies, standardAir);
const work = makePathWork(grid, 40);
const out = new Float64Array(responseRows * n);
const drive = { voltage: 2.83, sourceResistance: 0.3 };

interface Sample {
  readonly path: SinglePath;
  readonly frontAt: number;
  readonly backAt: number;
  readonly volume: number;
}

const area = fc.double({ min: 0.003, max: 0.25, noNaN: true });
const constant = (re: number, im: number): LoadArrays => ({ re: new Float64Array(n).fill(re), im: frequencies.map((f) => (im * f) / 100) });

/** A random path: steps or none, loss or none; faces at two stations, or one at a closed volume; rigid start or a series load there. */
const sample: fc.Arbitrary<Sample> = fc
  .record({
    sections: fc.array(fc.record({ length: fc.double({ min: 0.03, max: 0.7, noNaN: true }), area, step: fc.option(area, { freq: 3 }) }), { minLength: 1, maxLength: 14 }),
    first: area,
    walls: fc.constantFrom<(CrossSection | undefined)[]>(undefined, { kind: "round" }, { kind: "square" }, { kind: "rectangle", depth: 0.12 }, { kind: "slit", height: 0.05 }),
    front: fc.nat(),
    back: fc.nat(),
    onLoad: fc.constantFrom("none", "none", "front", "back"),
    volume: fc.double({ min: 0.002, max: 0.1, noNaN: true }),
    start: fc.option(fc.record({ resistance: fc.double({ min: 0, max: 50_000, noNaN: true }), mass: fc.double({ min: 1, max: 60, noNaN: true }) }), { freq: 2 }),
    mouth: fc.record({ resistance: fc.double({ min: 10, max: 9000, noNaN: true }), mass: fc.double({ min: 0.2, max: 20, noNaN: true }) }),
  })
  .map(({ sections, first, walls, front, back, onLoad, volume, start, mouth }) => {
    const count = sections.length;
    const areaEnd = Float64Array.from(sections, (s) => s.area), areaStart = Float64Array.from(sections, (s, i) => (i === 0 ? first : (s.step ?? sections[i - 1]!.area)));
    const frontAt = front % (count + 1), backAt = back % (count + 1) === frontAt ? (frontAt + 1) % (count + 1) : back % (count + 1);
    const load = { kind: "load", load: volumeLoad(volume, grid) } as const;
    const series = ({ resistance, mass }: { resistance: number; mass: number }): LoadArrays => constant(resistance, 2 * Math.PI * 100 * mass);
    const face = (name: string, station: number): PathFace => (onLoad === name ? load : { kind: "station", station });
    return {
      volume,
      frontAt: onLoad === "front" ? -1 : frontAt,
      backAt: onLoad === "back" ? -1 : backAt,
      path: {
        length: Float64Array.from(sections, (s) => s.length),
        areaStart,
        areaEnd,
        walls,
        front: face("front", frontAt),
        back: face("back", backAt),
        start: start === null ? undefined : series(start),
        mouth: series(mouth),
      },
    };
  });

/** The rows of the general solver for the same path, lossless only: it chooses its own pieces for the loss. */
function generalRows({ path, frontAt, backAt, volume }: Sample): Float64Array {
  const elements: NetworkElement[] = [];
  path.length.forEach((length, i) => {
    elements.push({ kind: "duct", name: `duct ${i}`, from: `n${i}`, to: `n${i + 1}`, sections: [{ flare: "conical", length, areaStart: path.areaStart[i]!, areaEnd: path.areaEnd[i]!, walls: undefined }] });
  });
  const series = (load: LoadArrays): { kind: "series"; mass: number; resistance: number } => ({ kind: "series", resistance: load.re[0]!, mass: load.im[0]! / (2 * Math.PI * frequencies[0]!) });
  elements.push({ kind: "opening", name: "mouth", node: `n${path.length.length}`, area: 0.1, load: series(path.mouth), massInDriver: false });
  if (path.start !== undefined) elements.push({ kind: "opening", name: "start", node: "n0", area: 0.1, load: series(path.start), massInDriver: false });
  if (frontAt < 0 || backAt < 0) elements.push({ kind: "volume", node: "box", volume });
  const network = networkWithDriver(elements, driver, frontAt < 0 ? "box" : `n${frontAt}`, backAt < 0 ? "box" : `n${backAt}`);
  const m = openingsOf(network).length, none = { re: new Float64Array(m * m * n), im: new Float64Array(m * m * n) };
  const s = solveNetwork(network, drive, frequencies, standardAir, none);
  const rows = new Float64Array(responseRows * n), front = s.nodes.indexOf(frontAt < 0 ? "box" : `n${frontAt}`) * n, back = s.nodes.indexOf(backAt < 0 ? "box" : `n${backAt}`) * n;
  for (let f = 0; f < n; f++) {
    const cr = s.currentRe[f]!, ci = s.currentIm[f]!, cc = cr * cr + ci * ci;
    const values = [s.velocityRe[f]!, s.velocityIm[f]!, (drive.voltage * cr) / cc - drive.sourceResistance, (-drive.voltage * ci) / cc, s.flowRe[f]!, s.flowIm[f]!, s.pressureRe[front + f]!, s.pressureIm[front + f]!, s.pressureRe[back + f]!, s.pressureIm[back + f]!];
    values.forEach((value, row) => (rows[row * n + f] = value));
  }
  return rows;
}

/** Largest deviation of complex rows, each relative to its own size; pressures relative to the larger of both faces, since one may have a null. */
function worst(got: Float64Array, wanted: Float64Array): number {
  let most = 0;
  for (let f = 0; f < n; f++) {
    const size = (row: number): number => Math.hypot(wanted[row * n + f]!, wanted[(row + 1) * n + f]!);
    for (let row = 0; row < responseRows; row += 2) {
      const scale = row >= responseRow.frontRe ? Math.max(size(responseRow.frontRe), size(responseRow.backRe)) : size(row);
      const off = Math.hypot(got[row * n + f]! - wanted[row * n + f]!, got[(row + 1) * n + f]! - wanted[(row + 1) * n + f]!) / scale;
      if (!(off <= most)) most = off;
    }
  }
  return most;
}

describe("random single paths", () => {
  test("without wall loss: equal to the general solver", () => {
    let most = 0;
    fc.assert(
      fc.property(sample, (s) => {
        const path = { ...s.path, walls: undefined };
        solvePath(work, path, { driver, drive, out });
        const off = worst(out, generalRows({ ...s, path }));
        most = Math.max(most, off);
        expect(off).toBeLessThan(1e-9);
      }),
      { seed, numRuns: 400 },
    );
    console.log(`largest deviation from the general solver ${most.toExponential(1)}`);
  });

  test("with and without wall loss: equal to plain chain matrices", () => {
    let most = 0;
    fc.assert(
      fc.property(sample, ({ path }) => {
        solvePath(work, path, { driver, drive: { voltage: 1, sourceResistance: 0 }, out });
        const wanted = new Float64Array(responseRows * n);
        frequencies.forEach((frequency, at) => plainPath(path, driver, { frequency, at }).forEach(([re, im], row) => {
          wanted[2 * row * n + at] = re;
          wanted[(2 * row + 1) * n + at] = im;
        }));
        const off = worst(out, wanted);
        most = Math.max(most, off);
        expect(off).toBeLessThan(1e-9);
      }),
      { seed, numRuns: 400 },
    );
    console.log(`largest deviation from plain chain matrices ${most.toExponential(1)}`);
  });
});
