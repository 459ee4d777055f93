// Solves per second of a tapped horn with 24 conical segments at 200 frequencies, beside the same maths written plainly with small complex
// objects (the baseline). Prints ratios and the machine; asserts nothing about time. Run: npm run bench
import { createRequire } from "node:module";
import { cpus } from "node:os";
import { performance } from "node:perf_hooks";

const require = createRequire(import.meta.url);
const built = "../../kernel-helpers/dist/src/";
const { makePath } = require(`${built}acoustics/path.js`);
const { solveNetwork } = require(`${built}acoustics/solve.js`);
const { openingsOf } = require(`${built}acoustics/network.js`);
const { buildTappedHorn } = require(`${built}enclosure/tapped-horn.js`);
const { freeRadiation, freeSpace } = require(`${built}space/free.js`);
const { predictDesign } = require(`${built}predict/predict.js`);
const { standardAir } = require(`${built}air/air.js`);
const { logGrid } = require(`${built}math/log-grid.js`);

const driver = { name: "bench (invented)", Re: 3.5, Le: 0.0006, Sd: 0.0088, Bl: 6.3, Mms: 0.013, Cms: 0.0006, Rms: 1.1, fs: 56.99, Qms: 4.23, Qes: 0.41, Qts: 0.374, Vas: 0.00659, given: [], air: standardAir };
const frequencies = logGrid(15, 500, 200);
const segments = 24;
const horn = (wallLoss) => {
  // unequal lengths and areas from a seeded sequence
  let state = 12345;
  const next = () => (state = (Math.imul(state, 1664525) + 1013904223) >>> 0) / 4294967296;
  const stations = [{ at: 0, area: 0.007, flare: "conical" }];
  for (let i = 1; i <= segments; i++) stations.push({ at: stations[i - 1].at + 0.06 + 0.08 * next(), area: 0.007 * 5 ** (i / segments) * (0.9 + 0.2 * next()), flare: "conical" });
  const path = makePath({ stations, crossSection: { kind: "round" }, wallLoss });
  // taps on stations, so that the number of segments stays 24
  return buildTappedHorn({ driver, path, frontTap: stations[2].at, backTap: stations[22].at });
};
const drive = { voltage: 2.83, sourceResistance: 0 };
const space = freeSpace("half");

function measure(title, work) {
  for (let i = 0; i < 60; i++) work(); // warm up: the compiler settles within 50 calls
  const rounds = [];
  for (let r = 0; r < 5; r++) {
    const start = performance.now();
    let count = 0;
    while (performance.now() - start < 300) {
      work();
      count++;
    }
    rounds.push(((performance.now() - start) / count) * 1000);
  }
  rounds.sort((a, b) => a - b);
  const micros = rounds[2];
  console.log(`${title.padEnd(58)} ${micros.toFixed(0).padStart(7)} us/design ${(1e6 / micros).toFixed(0).padStart(7)} solves/s`);
  return micros;
}

// ---- baseline: plain chain matrices with complex objects
const c = (re, im = 0) => ({ re, im });
const add = (a, b) => c(a.re + b.re, a.im + b.im);
const sub = (a, b) => c(a.re - b.re, a.im - b.im);
const mul = (a, b) => c(a.re * b.re - a.im * b.im, a.re * b.im + a.im * b.re);
const div = (a, b) => {
  const q = b.re * b.re + b.im * b.im;
  return c((a.re * b.re + a.im * b.im) / q, (a.im * b.re - a.re * b.im) / q);
};
function cone(k, length, s1, s2) {
  const z = standardAir.density * standardAir.soundSpeed, r1 = Math.sqrt(s1), r2 = Math.sqrt(s2), s = Math.sin(k * length), q = Math.cos(k * length), d = (r2 - r1) / length;
  return [c((r2 / r1) * q - ((d / r1) * s) / k), c(0, (z / (r1 * r2)) * s), c(0, ((r1 * r2) / z) * (s + (d * d * (s / k - length * q)) / (r1 * r2 * k))), c((r1 / r2) * q + ((d / r2) * s) / k)];
}
const chain = (m, n) => [add(mul(m[0], n[0]), mul(m[1], n[2])), add(mul(m[0], n[1]), mul(m[1], n[3])), add(mul(m[2], n[0]), mul(m[3], n[2])), add(mul(m[2], n[1]), mul(m[3], n[3]))];
function plain(design, radiation) {
  const ducts = design.network.elements.filter((e) => e.kind === "duct");
  const mouth = [];
  frequencies.forEach((f, i) => {
    const w = 2 * Math.PI * f, k = w / standardAir.soundSpeed;
    const [stub, middle, end] = ducts.map((d) => d.sections.map((s) => cone(k, s.length, s.areaStart, s.areaEnd)).reduce(chain));
    const zm = c(radiation.re[i], radiation.im[i]);
    const ze = c(driver.Re, w * driver.Le), zc = c(driver.Rms, w * driver.Mms - 1 / (w * driver.Cms)), zt = add(zc, div(c(driver.Bl ** 2), ze));
    const force = mul(c(driver.Bl * drive.voltage), div(c(1), ze));
    // stub seen from the tap, its other end closed; rest of the path seen from the second tap
    const yStub = div(stub[2], stub[3]);
    const y2 = div(add(mul(end[2], zm), end[3]), add(mul(end[0], zm), end[1]));
    // middle: p1 = A p2 + B u, u1 = C p2 + D u
    // flow balance: Sd v = yStub p1 + C p2 + D u; u - Sd v... with p1 = A p2 + B u and u = y2 p2 + Sd v
    const sd = driver.Sd;
    // Sd v (1 - D) = p2 (yStub A + C + (yStub B + D) y2) + Sd v yStub B
    const left = sub(c(1), add(middle[3], mul(yStub, middle[1])));
    const right = add(add(mul(yStub, middle[0]), middle[2]), mul(add(mul(yStub, middle[1]), middle[3]), y2));
    const p2PerV = mul(c(sd), div(left, right));
    const p1PerV = add(mul(middle[0], p2PerV), mul(middle[1], add(mul(y2, p2PerV), c(sd))));
    const v = div(force, add(zt, mul(c(sd), sub(p1PerV, p2PerV))));
    mouth.push(mul(v, div(p2PerV, add(mul(end[0], zm), end[1]))));
  });
  return mouth;
}

const lossless = horn(false), lossy = horn(true);
const radiation = freeRadiation(space, openingsOf(lossless.network), frequencies, standardAir);
const solution = solveNetwork(lossless.network, drive, frequencies, standardAir, radiation);
const oracle = plain(lossless, radiation);
let worst = 0;
oracle.forEach((u, i) => (worst = Math.max(worst, Math.hypot(u.re - solution.flowRe[i], u.im - solution.flowIm[i]) / Math.hypot(u.re, u.im))));

console.log(`${cpus()[0].model}, ${cpus().length} cores, node ${process.version}`);
console.log(`tapped horn, ${segments} conical segments, ${frequencies.length} frequencies; solver and plain version agree to ${worst.toExponential(1)}`);
const base = measure("plain chain matrices with complex objects (baseline)", () => plain(lossless, radiation));
const fast = measure("solveNetwork, walls without loss", () => solveNetwork(lossless.network, drive, frequencies, standardAir, radiation));
const walls = measure("solveNetwork, walls with viscous and thermal loss", () => solveNetwork(lossy.network, drive, frequencies, standardAir, radiation));
const all = measure("predict: all results, group delay and phase", () => predictDesign(lossy, { drive, space, distance: 1, frequencies }));
console.log(`ratios to the baseline: without loss ${(fast / base).toFixed(2)}, with loss ${(walls / base).toFixed(2)}, whole prediction ${(all / base).toFixed(2)}`);
