import { standardAir } from "../../src/air/air.js";
import { mediumConstants, mediumOf } from "../../src/acoustics/medium.js";
import type { LoadArrays, SinglePath } from "../../src/acoustics/fast/single-path.js";
import type { Driver } from "../../src/driver/parameters.js";
import { add, over, times, type Complex } from "./ducts.js";

/** Answers of the plain version at one frequency, per volt; places as in `responseRow`. */
export type PlainAnswer = readonly [velocity: Complex, impedance: Complex, mouth: Complex, front: Complex, back: Complex];

type Chain = readonly [Complex, Complex, Complex, Complex];

const sub = (a: Complex, b: Complex): Complex => [a[0] - b[0], a[1] - b[1]];
const by = (a: Complex, s: number): Complex => [a[0] * s, a[1] * s];
const one: Complex = [1, 0], none: Complex = [0, 0], j: Complex = [0, 1];

/**
 * Chain matrix of a cone as the textbook has it (Beranek & Mellow, Acoustics, 2012, chapter 9), with distances from the apex on paper and nothing
 * saved; wave number and impedance of the medium are given. p1 = A p2 + B U2, U1 = C p2 + D U2.
 */
function cone(length: number, s1: number, s2: number, k: Complex, z: Complex): Chain {
  const r1 = Math.sqrt(s1), r2 = Math.sqrt(s2), d = (r2 - r1) / length;
  const x = by(k, length), c: Complex = [Math.cos(x[0]) * Math.cosh(x[1]), -Math.sin(x[0]) * Math.sinh(x[1])], s: Complex = [Math.sin(x[0]) * Math.cosh(x[1]), Math.cos(x[0]) * Math.sinh(x[1])];
  const sk = over(s, k);
  const c2 = add(s, over(by(sub(sk, by(c, length)), (d * d) / (r1 * r2)), k));
  return [sub(by(c, r2 / r1), by(sk, d / r1)), by(times(j, times(z, s)), 1 / (r1 * r2)), over(by(times(j, c2), r1 * r2), z), add(by(c, r1 / r2), by(sk, d / r2))];
}

const join = (a: Chain, b: Chain): Chain => [
  add(times(a[0], b[0]), times(a[1], b[2])), add(times(a[0], b[1]), times(a[1], b[3])),
  add(times(a[2], b[0]), times(a[3], b[2])), add(times(a[2], b[1]), times(a[3], b[3])),
];

/** The same path by plain chain matrices and small complex arrays: stub, middle and end, joined by hand. */
export function plainPath(path: SinglePath, driver: Driver, { frequency, at }: { frequency: number; at: number }): PlainAnswer {
  const omega = 2 * Math.PI * frequency, constants = new Float64Array(4);
  const run = (from: number, to: number): Chain => {
    let chain: Chain = [one, none, none, one];
    for (let i = from; i < to; i++) {
      const middle = ((Math.sqrt(path.areaStart[i]!) + Math.sqrt(path.areaEnd[i]!)) / 2) ** 2;
      mediumConstants(omega, standardAir, mediumOf(path.walls, undefined, middle), constants, 0);
      chain = join(chain, cone(path.length[i]!, path.areaStart[i]!, path.areaEnd[i]!, [constants[0]!, constants[1]!], [constants[2]!, constants[3]!]));
    }
    return chain;
  };
  const loadAt = (load: LoadArrays): Complex => [load.re[at]!, load.im[at]!];
  const count = path.length.length, { front, back } = path;
  const taps = [front, back].map((face) => (face.kind === "station" ? face.station : NaN));
  const near = Math.min(...taps.filter((t) => !Number.isNaN(t))), far = Number.isNaN(taps[0]! + taps[1]!) ? near : Math.max(...taps as [number, number]);
  const stub = run(0, near), middle = run(near, far), end = run(far, count);
  // looking from the near tap to the start: p = Z U with the stub reversed (D B; C A); a rigid start has p = D / C U
  const start = path.start === undefined ? over(stub[2], stub[3]) : startAdmittance(stub, loadAt(path.start));
  const mouth = loadAt(path.mouth);
  const pEnd = add(times(end[0], mouth), end[1]), uEnd = add(times(end[2], mouth), end[3]); // per mouth flow
  const yEnd = over(uEnd, pEnd);
  const sn = near === taps[0] ? 1 : -1, sf = far === near ? 0 : far === taps[0] ? 1 : -1;
  // near: sn = y p1 + u1, p1 = A p2 + B w, u1 = C p2 + D w, w + sf = yEnd p2
  const a = add(times(start, middle[0]), middle[2]), b = add(times(start, middle[1]), middle[3]);
  const p2 = over(add([sn, 0], by(b, sf)), add(a, times(b, yEnd)));
  const w = sub(times(yEnd, p2), [sf, 0]), p1 = add(times(middle[0], p2), times(middle[1], w));
  const perFlow = over(p2, pEnd);
  const face = (which: typeof front, tap: number, sign: number): Complex => (which.kind === "load" ? by(loadAt(which.load), sign) : tap === near ? p1 : p2);
  const pf = face(front, taps[0]!, 1), pb = face(back, taps[1]!, -1);
  const ze: Complex = [driver.Re, omega * driver.Le];
  const zm = add([driver.Rms, omega * driver.Mms - 1 / (omega * driver.Cms)], by(sub(pf, pb), driver.Sd ** 2));
  const v = over([driver.Bl, 0], add(times(ze, zm), [driver.Bl ** 2, 0])), u = by(v, driver.Sd);
  return [v, add(ze, over([driver.Bl ** 2, 0], zm)), times(perFlow, u), times(pf, u), times(pb, u)];
}

function startAdmittance(stub: Chain, load: Complex): Complex {
  // from the near tap back through the reversed stub into the load
  return over(add(times(stub[2], load), stub[0]), add(times(stub[3], load), stub[1]));
}
