// Microseconds per design of the fast kernel for single paths (24 cones, 200 frequencies from 15 Hz to 500 Hz) beside the same maths in scalar C, with numpy and with
// mathjs complex numbers, each in a process of its own, in turn, several rounds; then the driver scan, the gradient and memory. Prints; asserts nothing.
// Run: npm run bench. Another built folder may follow as an argument.
import { spawn, spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { cpus, loadavg, tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const built = process.argv[2] === undefined ? join(here, "../../kernel-helpers/dist") : resolve(process.argv[2]);
const load = (name) => createRequire(import.meta.url)(`${built}/src/${name}.js`);
const { makePathGrid } = load("acoustics/fast/grid"), { wallSeries } = load("acoustics/fast/wall-series"), { pistonImpedance } = load("acoustics/piston");
const { standardAir: air } = load("air/air"), { logGrid } = load("math/log-grid");
const designs = 64, sections = 24, n = 200, near = 2, far = 22, rounds = 9;
const folder = mkdtempSync(join(tmpdir(), "airpath-bench-"));

/** Invented designs from a seeded sequence; taps on stations. */
function writeCases(file) {
  let state = 12345;
  const next = () => (state = (Math.imul(state, 1664525) + 1013904223) >>> 0) / 4294967296;
  const frequencies = logGrid(15, 500, n), grid = makePathGrid(frequencies, air), z = { re: 0, im: 0 }, re = [], im = [];
  for (const f of frequencies) {
    pistonImpedance(f, 0.035, 2 * Math.PI, air, z);
    re.push(z.re);
    im.push(z.im);
  }
  // terms of the wall loss for a radius of 1 m, without the sizes of the powers
  const series = new Float64Array(16), size = [1, 2, 2, 4, 4, 8];
  wallSeries({ kind: "round" }, grid, { size: Float64Array.of(Math.sqrt(Math.PI)), place: 0, out: series, slopes: undefined });
  const head = new Float64Array(32);
  head.set([designs, sections, n, near, far, air.density, air.soundSpeed, air.viscosity, 3.5, 0.0006, 6.3, 0.013, 0.0006, 1.1, 0.0088, 2.83, 0.1, ...Array.from(series.subarray(0, 12), (t, i) => t / size[i % 6]), air.prandtl, air.heatRatio]);
  const all = [...head, ...frequencies, ...re, ...im];
  for (let d = 0; d < designs; d++) {
    for (let i = 0; i < sections; i++) all.push(0.06 + 0.08 * next());
    for (let i = 0; i <= sections; i++) all.push(0.007 * 5 ** (i / sections) * (0.9 + 0.2 * next()));
  }
  writeFileSync(file, Buffer.from(Float64Array.from(all).buffer));
}

/** A process that answers one line with one timing; undefined where it does not start. */
async function start(name, program, words) {
  const child = spawn(program, words, { stdio: ["pipe", "pipe", "inherit"] });
  const waiting = [], lines = [];
  createInterface({ input: child.stdout }).on("line", (line) => (waiting.length > 0 ? waiting.shift()(line) : lines.push(line)));
  child.on("error", () => waiting.splice(0).forEach((done) => done(undefined)));
  child.on("exit", () => waiting.splice(0).forEach((done) => done(undefined)));
  const read = () => (lines.length > 0 ? Promise.resolve(lines.shift()) : new Promise((done) => waiting.push(done)));
  if ((await read()) !== "ready") return undefined;
  return { name, times: [], time: () => (child.stdin.write("go\n"), read()), end: () => child.stdin.end() };
}

/** Largest difference of complex rows, relative to their size at the frequency (pressures: of the larger face). */
function deviation(gotFile, wantedFile) {
  const [got, wanted] = [gotFile, wantedFile].map((file) => new Float64Array(readFileSync(file).buffer.slice(0)));
  let most = 0;
  for (let d = 0; d < designs; d++) {
    for (let f = 0; f < n; f++) {
      const size = (row) => Math.hypot(wanted[(d * 10 + row) * n + f], wanted[(d * 10 + row + 1) * n + f]);
      for (let row = 0; row < 10; row += 2) {
        const at = (d * 10 + row) * n + f, scale = row >= 6 ? Math.max(size(6), size(8)) : size(row);
        const off = Math.hypot(got[at] - wanted[at], got[at + n] - wanted[at + n]) / scale;
        if (!(off <= most)) most = off;
      }
    }
  }
  return most;
}

const median = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];
const cases = join(folder, "cases"), rows = (name) => join(folder, name.replaceAll(" ", "-"));
try {
  writeCases(cases);
  const binary = join(folder, "kernel"), compiler = ["cc", "gcc", "clang"].find((c) => spawnSync(c, ["-O3", "-march=native", "-o", binary, join(here, "single-path.c"), "-lm"]).status === 0);
  const python = spawnSync("python3", ["-c", "import numpy"]).status === 0;
  console.log(`${cpus()[0].model}, ${cpus().length} cores, node ${process.version}, ${compiler ?? "no C compiler"}${python ? ", numpy" : ", no numpy"}, load average ${loadavg()[0].toFixed(2)}`);
  console.log(`${sections} cones, ${n} frequencies, ${designs} designs in turn; processor time, median (best) of ${rounds} rounds, one process each, in turn`);
  const node = (task) => start(task, process.execPath, [join(here, "single-path-kernel.mjs"), cases, task, rows(task), built]);
  for (const mode of ["rigid", "walls"]) {
    const kernel = `solve ${mode}`, c = `c ${mode}`, numpy = `numpy ${mode}`, mathjs = `mathjs ${mode}`, objects = `mathjs objects ${mode}`;
    const all = [
      await node(kernel),
      compiler && (await start(c, binary, [cases, mode, rows(c)])),
      python && (await start(numpy, "python3", [join(here, "single-path.py"), cases, mode, rows(numpy)])),
      await start(mathjs, process.execPath, [join(here, "single-path-mathjs.mjs"), cases, mode, rows(mathjs), "functions"]),
      await start(objects, process.execPath, [join(here, "single-path-mathjs.mjs"), cases, mode, rows(objects), "methods"]),
      await node(`driver level ${mode}`), await node(`driver all ${mode}`), await node(`gradient ${mode}`), await node(`general ${mode}`),
    ].filter((p) => p);
    for (let r = 0; r < rounds; r++) for (const p of all) p.times.push(Number.parseFloat(await p.time()));
    for (const p of all) p.end();
    const kernelTime = median(all[0].times), kernelBest = Math.min(...all[0].times);
    console.log(mode === "rigid" ? "walls without loss" : "round walls with viscous and thermal loss");
    for (const p of all) {
      const time = median(p.times), best = Math.min(...p.times);
      const check = p.name === c || [numpy, mathjs, objects].includes(p.name) ? `, agrees to ${deviation(rows(p.name), rows(kernel)).toExponential(0)}` : "";
      console.log(`  ${p.name.padEnd(20)} ${time.toFixed(2).padStart(9)} (${best.toFixed(2)}) us; kernel is ${(kernelTime / time).toPrecision(3)} (${(kernelBest / best).toPrecision(3)}) times it${check}`);
    }
  }
  for (const mode of ["rigid", "walls", "gradient rigid", "gradient walls"]) console.log(`memory, ${mode}: ${spawnSync(process.execPath, ["--expose-gc", join(here, "single-path-kernel.mjs"), cases, `memory ${mode}`, "", built]).stdout.toString().trim()}`);
  console.log(`load average at the end ${loadavg()[0].toFixed(2)}`);
} finally {
  rmSync(folder, { recursive: true });
}
