// The same path by chain matrices of mathjs complex numbers, written as one would at first: with the functions of mathjs, or with the methods of its complex
// objects, which skip the choice by type. Run by single-path.bench.mjs.
import { createRequire } from "node:module";
import { answer, readCases } from "./bench-process.mjs";

const mathjs = createRequire(import.meta.url)("mathjs"), { complex } = mathjs;
const [, , file, mode, out, manner] = process.argv;
const of = (a) => (typeof a === "number" ? complex(a, 0) : a);
const methods = { add: (a, b) => of(a).add(b), cos: (a) => a.cos(), divide: (a, b) => of(a).div(b), multiply: (a, b) => of(a).mul(b), sin: (a) => a.sin(), subtract: (a, b) => of(a).sub(b) };
const { add, cos, divide, multiply, sin, subtract } = manner === "methods" ? methods : mathjs;
const { designs, sections, n, near, far, air, driver, drive, wave, flow, frequencies, mouth, shapes } = readCases(file);
const j = complex(0, 1), one = complex(1, 0), zero = complex(0, 0);
const series = (terms, x) => terms.reduceRight((sum, t) => multiply(add(sum, t), x), zero);

function cone(k, z, length, s1, s2) {
  const r1 = Math.sqrt(s1), r2 = Math.sqrt(s2), d = (r2 - r1) / length, x = multiply(k, length), c = cos(x), s = sin(x), sk = divide(s, k);
  return [
    subtract(multiply(c, r2 / r1), multiply(sk, d / r1)),
    multiply(multiply(j, multiply(z, s)), 1 / (r1 * r2)),
    divide(multiply(j, multiply(add(s, divide(multiply(subtract(sk, multiply(c, length)), (d * d) / (r1 * r2)), k)), r1 * r2)), z),
    add(multiply(c, r1 / r2), multiply(sk, d / r2)),
  ];
}
const join = (a, b) => [add(multiply(a[0], b[0]), multiply(a[1], b[2])), add(multiply(a[0], b[1]), multiply(a[1], b[3])), add(multiply(a[2], b[0]), multiply(a[3], b[2])), add(multiply(a[2], b[1]), multiply(a[3], b[3]))];

function solve({ length, area }, rows) {
  for (let f = 0; f < n; f++) {
    const omega = 2 * Math.PI * frequencies[f], k0 = omega / air.soundSpeed, rc = air.density * air.soundSpeed, layer = Math.sqrt((2 * air.viscosity) / (omega * air.density));
    const run = (from, to) => {
      let chain = [one, zero, zero, one];
      for (let i = from; i < to; i++) {
        let k = complex(k0, 0), z = complex(rc, 0);
        if (mode === "walls") {
          const x = multiply(complex(1, -1), layer / ((Math.sqrt(area[i]) + Math.sqrt(area[i + 1])) / 2 / Math.sqrt(Math.PI)));
          const K = add(1, series(wave, x)), v = add(1, series(flow, x));
          k = multiply(K, k0);
          z = divide(rc, multiply(K, v));
        }
        chain = join(chain, cone(k, z, length[i], area[i], area[i + 1]));
      }
      return chain;
    };
    const stub = run(0, near), middle = run(near, far), end = run(far, sections), load = complex(mouth.re[f], mouth.im[f]);
    const pEnd = add(multiply(end[0], load), end[1]), yEnd = divide(add(multiply(end[2], load), end[3]), pEnd), start = divide(stub[2], stub[3]);
    const a = add(multiply(start, middle[0]), middle[2]), b = add(multiply(start, middle[1]), middle[3]);
    const p2 = divide(subtract(1, b), add(a, multiply(b, yEnd))), w = add(multiply(yEnd, p2), 1), p1 = add(multiply(middle[0], p2), multiply(middle[1], w));
    const coil = complex(driver.Re, omega * driver.Le), z = add(complex(driver.Rms, omega * driver.Mms - 1 / (omega * driver.Cms)), multiply(subtract(p1, p2), driver.Sd ** 2));
    const velocity = divide(driver.Bl * drive.voltage, add(multiply(add(coil, drive.sourceResistance), z), driver.Bl ** 2)), flowIn = multiply(velocity, driver.Sd);
    [velocity, add(coil, divide(driver.Bl ** 2, z)), multiply(divide(p2, pEnd), flowIn), multiply(p1, flowIn), multiply(p2, flowIn)].forEach((value, row) => {
      rows[2 * row * n + f] = value.re;
      rows[(2 * row + 1) * n + f] = value.im;
    });
  }
}
answer({ designs, rowsEach: 10 * n, out, warm: 2, work: (d, rows) => solve(shapes[d], rows) });
