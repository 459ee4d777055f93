import { readdirSync, readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Flare } from "../../src/acoustics/network.js";
import { makePath, type Path } from "../../src/acoustics/path.js";
import type { Driver } from "../../src/driver/parameters.js";
import { buildBackHorn } from "../../src/enclosure/back-horn.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import type { Design } from "../../src/enclosure/design.js";
import { buildFourthOrderBandPass } from "../../src/enclosure/fourth-order-band-pass.js";
import { buildFrontHorn } from "../../src/enclosure/front-horn.js";
import { buildOpenBaffle } from "../../src/enclosure/open-baffle.js";
import { buildOwnNetwork } from "../../src/enclosure/own-network.js";
import { buildPassiveRadiatorBox } from "../../src/enclosure/passive-radiator.js";
import { buildSixthOrderBandPass } from "../../src/enclosure/sixth-order-band-pass.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { buildTappedPipe } from "../../src/enclosure/tapped-pipe.js";
import { buildTransmissionLine } from "../../src/enclosure/transmission-line.js";
import { buildVentedBox } from "../../src/enclosure/vented.js";
import { InputError, SolveError } from "../../src/errors.js";
import { makeCurve } from "../../src/math/curve.js";
import { logGrid } from "../../src/math/log-grid.js";
import { type Prediction, predictDesign } from "../../src/predict/predict.js";
import { makeCabin } from "../../src/space/cabin.js";
import { freeSpace } from "../../src/space/free.js";
import { measuredSpace } from "../../src/space/measured.js";
import { rectangularRoom } from "../../src/space/room.js";
import type { Space } from "../../src/space/space.js";
import { walledSpace } from "../../src/space/walls.js";
import { driverA } from "../support/drivers.js";
import { between, randomDriver, randomNetwork } from "./random-network.js";

// Sizes far beyond any box (0.1 L to 1000 L, 1 mm^2 to 10 m^2, 1 mm to 10 m) from 1 Hz to 20 kHz: finite numbers, or an error that says what is wrong.
const seed = 20270, wide = Float64Array.of(1, 9, 41, 130, 700, 4000, 20_000);
const folder = (name: string): string => new URL(`../../src/${name}/`, import.meta.url).pathname;
const area = between(1e-6, 10), length = between(1e-3, 10), volume = between(1e-4, 1), yes = fc.boolean();
const driver = randomDriver(true) as fc.Arbitrary<Driver>;
const flare = fc.constantFrom<Flare>("uniform", "conical", "exponential", "parabolic", "hyperbolic");
const set = fc.option(fc.record({ count: fc.integer({ min: 2, max: 5 }), wiring: fc.constantFrom("series" as const, "parallel" as const), mounting: fc.constantFrom("same" as const, "push-pull" as const, "opposed" as const) }), { nil: undefined });
const fill = fc.option(fc.record({ flowResistivity: between(200, 1e5), law: fc.constantFrom("Miki" as const, "Delany-Bazley" as const) }), { nil: undefined });
const chamber = fc.record({ volume, fill, leakResistance: fc.option(between(1e3, 1e8), { nil: undefined }), absorptionResistance: fc.option(between(1, 1e5), { nil: undefined }) }).map(present);
const port = fc.oneof(
  fc.record({ area, length, count: fc.integer({ min: 1, max: 3 }), innerEnd: fc.constantFrom("free" as const, "flush" as const), resistance: fc.option(between(1, 1e5), { nil: undefined }) }),
  fc.record({ slot: fc.record({ width: between(1e-3, 2), height: between(1e-3, 2), onWall: yes }), length }),
  fc.record({ mass: between(0.1, 1e4), area }),
  fc.record({ area, tuning: between(3, 300) }),
).map(present);
const path: fc.Arbitrary<Path> = fc
  .record({ stations: fc.array(fc.record({ step: fc.oneof(fc.constant(0), length), area, flare, shape: between(0.01, 10), fill }), { minLength: 2, maxLength: 5 }), crossSection: fc.constantFrom({ kind: "round" as const }, { kind: "square" as const }, { kind: "rectangle" as const, depth: 0.1 }, { kind: "slit" as const, height: 0.002 }), wallLoss: yes })
  .map(({ stations, ...rest }) => {
    let at = 0;
    // a uniform stretch ends with the area that it began with
    return { ...rest, stations: stations.map(({ step, shape, ...s }, i) => present({ at: (at += i === 0 ? 0 : i === 1 ? Math.max(step, 1e-3) : step), area: stations[i - 1]?.flare === "uniform" ? (s.area = stations[i - 1]!.area) : s.area, flare: s.flare, shape: s.flare === "hyperbolic" ? shape : undefined, fill: s.fill })) };
  })
  .map(makePath);
const share = fc.integer({ min: 0, max: 1000 }).map((x) => x / 1000);

/** Without the members that are undefined. */
function present<T extends object>(value: T): { [K in keyof T]: Exclude<T[K], undefined> } {
  return Object.fromEntries(Object.entries(value).filter(([, v]) => v !== undefined)) as { [K in keyof T]: Exclude<T[K], undefined> };
}
const common = fc.record({ driver, drivers: set }).map(present);
const end = (p: Path): number => p.stations[p.stations.length - 1]!.at;

/** Every builder of an enclosure over its whole range. */
const builders: Readonly<Record<string, fc.Arbitrary<() => Design>>> = {
  buildClosedBox: fc.tuple(common, chamber).map(([a, b]) => () => buildClosedBox({ ...a, ...b })),
  buildVentedBox: fc.tuple(common, chamber, port, yes).map(([a, b, p, wallLoss]) => () => buildVentedBox({ ...a, ...b, port: p, wallLoss } as never)),
  buildPassiveRadiatorBox: fc.tuple(common, chamber, fc.record({ Sd: area, fs: between(1, 200), Mms: between(1e-3, 10), Qms: between(0.1, 100), count: fc.integer({ min: 1, max: 3 }) })).map(([a, b, radiator]) => () => buildPassiveRadiatorBox({ ...a, ...b, radiator })),
  buildFourthOrderBandPass: fc.tuple(common, chamber, chamber, port).map(([a, rear, front, p]) => () => buildFourthOrderBandPass({ ...a, rear, front, port: p } as never)),
  buildSixthOrderBandPass: fc.tuple(common, chamber, chamber, port, port, fc.constantFrom("parallel", "series")).map(([a, rear, front, rearPort, frontPort, tuned]) => () => buildSixthOrderBandPass({ ...a, rear, front, rearPort, frontPort, tuned } as never)),
  buildTransmissionLine: fc.tuple(common, path, share, fc.constantFrom("open" as const, "closed" as const), fill).map(([a, p, s, e, f]) => () => buildTransmissionLine({ ...a, path: p, driverAt: s * end(p), end: e, ...(f === undefined ? {} : { fill: [f] }) })),
  buildFrontHorn: fc.tuple(common, path, chamber, chamber).map(([a, p, rearChamber, throatChamber]) => () => buildFrontHorn({ ...a, path: p, rearChamber, throatChamber })),
  buildBackHorn: fc.tuple(common, path, chamber).map(([a, p, c]) => () => buildBackHorn({ ...a, path: p, chamber: c })),
  buildTappedHorn: fc.tuple(common, path, share, share).map(([a, p, s, t]) => () => buildTappedHorn({ ...a, path: p, frontTap: s * end(p), backTap: t * end(p) })),
  buildTappedPipe: fc.tuple(common, area, length, share, share, yes).map(([a, s, l, f, b, wallLoss]) => () => buildTappedPipe({ ...a, area: s, length: l, frontTap: f * l, backTap: b * l, wallLoss })),
  buildOpenBaffle: fc.tuple(common, fc.record({ width: between(0.05, 5), height: between(0.05, 5) }), share).map(([a, baffle, s]) => () => buildOpenBaffle({ ...a, baffle: { ...baffle, fromBottom: s * baffle.height } } as never)),
  buildOwnNetwork: randomNetwork({ space: true, fill: true, walls: "all" }).map((network) => () => buildOwnNetwork({ driver: driverA, network })),
};

/** Every kind of space; "box" and listener somewhere in it. */
const point = (size: readonly [number, number, number]): fc.Arbitrary<readonly [number, number, number]> => fc.tuple(share, share, share).map(([x, y, z]) => [x * size[0], y * size[1], z * size[2]] as const);
const size = fc.tuple(between(0.5, 20), between(0.5, 20), between(0.5, 20));
const spaces: Readonly<Record<Space["kind"], fc.Arbitrary<() => Space>>> = {
  "free space": fc.tuple(fc.constantFrom("full", "half", "quarter", "eighth"), fc.option(fc.record({ box: point([1, 1, 1]), listener: point([3, 3, 3]) }), { nil: undefined })).map(([name, places]) => () => freeSpace(name, places)),
  walls: fc.tuple(point([3, 3, 3]), point([5, 5, 5]), yes, yes, yes).map(([box, listener, rear, side, floor]) => () => walledSpace({ box, listener, ...(rear ? { rear: 0 } : {}), ...(side ? { side: 0 } : {}), ...(floor ? { floor: 0 } : {}) })),
  room: size.chain((s) => fc.tuple(point(s), point(s), fc.constantFrom({ kind: "decay" as const, rate: 12 }, { kind: "loss factor" as const, factor: 0.02 }, { kind: "absorption" as const, coefficient: 0.3, law: "Eyring" as const })).map(([box, listener, loss]) => () => rectangularRoom({ size: s, box, listener, loss }))),
  cabin: fc.tuple(between(0.8, 4), between(0.8, 2), between(0.8, 1.6)).chain((s) => fc.tuple(point(s), point(s), fc.option(between(1e3, 1e6), { nil: undefined }), between(0.01, 0.5)).map(([box, listener, leak, lossFactor]) => () => makeCabin({ size: s, box, listener, lossFactor, ...(leak === undefined ? {} : { leak }) }))),
  measured: fc.tuple(fc.constantFrom("half", "full"), fc.array(fc.tuple(between(0.01, 100), between(0.01, 100)), { minLength: 3, maxLength: 20 })).map(([name, values]) => () => measuredSpace({ free: freeSpace(name), transfer: makeCurve({ name: "invented", quantity: "correction", unit: "ratio", frequencies: logGrid(5, 15_000, values.length), re: Float64Array.from(values, ([a]) => a), im: Float64Array.from(values, ([, b]) => b), phaseKnown: true }) })),
};

function expectFinite(p: Prediction): void {
  const all = { level: p.level, phase: p.phase, groupDelay: p.groupDelay, excursion: p.excursionPeak, impedanceRe: p.impedance.re, impedanceIm: p.impedance.im, ...Object.fromEntries(p.openings.map((o) => [o.name, o.airSpeedPeak ?? new Float64Array(1)])) };
  for (const [name, values] of Object.entries(all)) for (const v of values) if (!Number.isFinite(v)) expect.fail(`${name} is ${v}`);
}

/** Predicts or is refused; counts both. Anything but our own errors fails. */
function attempt(make: () => Prediction, counts: { solved: number; refused: Map<string, number> }): void {
  let prediction: Prediction;
  try {
    prediction = make();
  } catch (error) {
    if (!(error instanceof InputError || error instanceof SolveError)) throw error;
    expect(error.message).not.toMatch(/NaN|undefined|is not a finite number/);
    const key = `${error.name} ${error.where.replace(/\[\d+\]|"[^"]*"/g, "")}`;
    counts.refused.set(key, (counts.refused.get(key) ?? 0) + 1);
    return;
  }
  counts.solved++;
  expectFinite(prediction);
}

const options = { drive: { voltage: 2.83, sourceResistance: 0.1 }, distance: 1, frequencies: wide };

test("the tables hold every builder and every space that there is", () => {
  const text = readdirSync(folder("enclosure")).map((file) => readFileSync(folder("enclosure") + file, "utf8")).join("\n");
  const names = [...text.matchAll(/export function (build\w+)\(options: \w+\): Design/g)].map((found) => found[1]!);
  expect(Object.keys(builders).sort()).toEqual(names.sort());
  const kinds = [...readFileSync(`${folder("space")}space.ts`, "utf8").split("export function spaceTransfer")[0]!.matchAll(/case "([^"]+)":/g)].map((found) => found[1]!);
  expect(Object.keys(spaces).sort()).toEqual(kinds.sort());
});

describe("every enclosure over its whole range, 1 Hz to 20 kHz: finite, or refused in words", () => {
  test.each(Object.keys(builders))("%s", (name) => {
    const counts = { solved: 0, refused: new Map<string, number>() };
    fc.assert(fc.property(builders[name]!, fc.constantFrom("full", "half", "eighth"), (build, space) => attempt(() => predictDesign(build(), { ...options, space: freeSpace(space) }), counts)), { seed, numRuns: 40 });
    console.log(`${name}: ${counts.solved} of 40 solved; ${[...counts.refused].map(([key, n]) => `${n} ${key}`).join(", ")}`);
    expect(counts.solved).toBeGreaterThan(20);
  });
});

describe("every space with a design of two openings, 1 Hz to 20 kHz: finite, or refused in words", () => {
  const box = buildVentedBox({ driver: driverA, volume: 0.08, port: { area: 0.008, tuning: 32 } });
  test.each(Object.keys(spaces))("%s", (kind) => {
    const counts = { solved: 0, refused: new Map<string, number>() };
    fc.assert(fc.property(spaces[kind as Space["kind"]], (build) => attempt(() => predictDesign(box, { ...options, frequencies: Float64Array.of(1, 30, 300, 800), space: build() }), counts)), { seed, numRuns: 20 });
    console.log(`${kind}: ${counts.solved} of 20 solved; ${[...counts.refused].map(([key, n]) => `${n} ${key}`).join(", ")}`);
    expect(counts.solved).toBeGreaterThan(15);
  });
});

describe("paths", () => {
  const station = (at: number, s: number): Path["stations"][number] => ({ at, area: s, flare: "conical" });
  test("one station is refused, two are enough, 400 from 1 mm^2 to 10 m^2 are no trouble", () => {
    const base = { crossSection: { kind: "round" as const }, wallLoss: true };
    expect(() => makePath({ ...base, stations: [station(0, 0.01)] })).toThrow(/1 station; at least two/);
    expect(() => makePath({ ...base, stations: [station(0, 0.01), station(0, 0.02)] })).toThrow(/a length of 0 m/);
    for (const count of [2, 400]) {
      const p = makePath({ ...base, stations: Array.from({ length: count }, (_, i) => station((4 * i) / (count - 1), 1e-6 * 10 ** ((7 * i) / (count - 1)))) });
      expectFinite(predictDesign(buildTappedHorn({ driver: driverA, path: p, frontTap: 1, backTap: 3.9 }), { ...options, space: freeSpace("half") }));
    }
  });
});
