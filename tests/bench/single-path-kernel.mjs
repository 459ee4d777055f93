// The TypeScript kernel in a process of its own, one task a process; run by single-path.bench.mjs.
import { createRequire } from "node:module";
import { PerformanceObserver } from "node:perf_hooks";
import { answer, readCases } from "./bench-process.mjs";

const [, , file, task, out, built] = process.argv;
const require = createRequire(import.meta.url), load = (name) => require(`${built}/src/acoustics/${name}.js`);
const { makePathGrid } = load("fast/grid"), { makePathWork } = load("fast/path-plan"), { reducePath, solvePath } = load("fast/path-kernel");
const { applyDriver, makeDriverScan, scanDriver } = load("fast/driver-scan"), { levelGradient } = load("fast/gradient"), { makeGradientWork } = load("fast/gradient-work");
const { designs, sections, n, near, far, air, driver, drive, frequencies, mouth, shapes } = readCases(file);

const walls = task.endsWith("walls") ? { kind: "round" } : undefined;
const grid = makePathGrid(frequencies, air), work = makePathWork(grid, sections), options = { driver, drive, out: new Float64Array(10 * n) };
const paths = shapes.map(({ length, area }) => ({ length, areaStart: area.slice(0, sections), areaEnd: area.slice(1), walls, front: { kind: "station", station: near }, back: { kind: "station", station: far }, start: undefined, mouth }));
const transfer = { re: new Float64Array(n), im: grid.omega.map((w) => (w * air.density) / (2 * Math.PI)) };
const common = { designs, rowsEach: 10 * n, out: out || undefined, batch: 64 };

if (task.startsWith("solve")) {
  answer({ ...common, work: (d, rows) => ((options.out = rows), solvePath(work, paths[d], options)) });
} else if (task.startsWith("gradient")) {
  const gradient = makeGradientWork(work), goal = { transfer, level: new Float64Array(n).fill(92), weight: new Float64Array(n).fill(1) };
  answer({ ...common, out: undefined, work: (d) => levelGradient(gradient, paths[d], { driver, drive, goal }) });
} else if (task.startsWith("driver")) {
  // another driver each time on a path that stays
  const scans = paths.map((path) => (reducePath(work, path), makeDriverScan(work, transfer.re, transfer.im)));
  const drivers = shapes.map((_, d) => ({ ...driver, Mms: driver.Mms * (1 + d / 100), Bl: driver.Bl * (1 - d / 200) })), square = new Float64Array(n);
  if (task.startsWith("driver level")) answer({ ...common, out: undefined, warm: 20_000, batch: 1000, work: (d) => scanDriver(scans[0], drivers[d], drive, square) });
  else answer({ ...common, out: undefined, warm: 20_000, batch: 1000, work: (d, rows) => applyDriver(scans[0].reduced, grid, { driver: drivers[d], drive, out: rows }) });
} else if (task.startsWith("general")) {
  const { solveNetwork } = load("solve"), { networkWithDriver } = load("network");
  const networks = paths.map(({ length, areaStart, areaEnd }) => {
    const cut = (from, to) => Array.from({ length: to - from }, (_, i) => ({ flare: "conical", length: length[from + i], areaStart: areaStart[from + i], areaEnd: areaEnd[from + i], walls }));
    const duct = (name, from, to, a, b) => ({ kind: "duct", name, from, to, sections: cut(a, b) });
    const opening = { kind: "opening", name: "mouth", node: "mouth", area: areaEnd[sections - 1], load: { kind: "space" }, massInDriver: false };
    return networkWithDriver([duct("stub", "start", "front", 0, near), duct("middle", "front", "back", near, far), duct("end", "back", "mouth", far, sections), opening], driver, "front", "back");
  });
  answer({ ...common, out: undefined, warm: 60, batch: 4, work: (d) => solveNetwork(networks[d], drive, frequencies, air, mouth) });
} else if (task.startsWith("memory")) {
  const work2 = makePathWork(grid, sections), gradient = makeGradientWork(work2), wanted = { driver, drive, goal: { transfer, level: new Float64Array(n).fill(92), weight: new Float64Array(n).fill(1) } };
  const slopes = task.startsWith("memory gradient"), one = slopes ? (i) => levelGradient(gradient, paths[i % designs], wanted) : (i) => solvePath(work2, paths[i % designs], options);
  for (let i = 0; i < 3000; i++) one(i);
  let collections = 0;
  const observer = new PerformanceObserver((list) => (collections += list.getEntries().length));
  observer.observe({ entryTypes: ["gc"] });
  globalThis.gc?.();
  await new Promise((done) => setTimeout(done, 20));
  collections = 0;
  const before = process.memoryUsage();
  for (let i = 0; i < 100_000; i++) one(i);
  const after = process.memoryUsage();
  await new Promise((done) => setTimeout(done, 20));
  console.log(`heap ${before.heapUsed} to ${after.heapUsed} bytes, arrays ${before.arrayBuffers} to ${after.arrayBuffers} bytes, resident ${(before.rss / 1e6).toFixed(1)} to ${(after.rss / 1e6).toFixed(1)} MB, ${collections} garbage collections in 100000 ${slopes ? "gradients" : "solves"}`);
} else throw new Error(`no task "${task}"`);
