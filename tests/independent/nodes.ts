import { abs, add, type Complex, complex, cos, divide, exp, lusolve, multiply, sin, sqrt, subtract } from "mathjs";
import type { Air } from "../../src/air/air.js";
import type { DuctSection, Fill, Network, Wiring } from "../../src/acoustics/network.js";
import type { Drive, RadiationMatrix } from "../../src/acoustics/solve.js";
import type { MotorParameters } from "../../src/driver/parameters.js";
import { profile } from "./circuit.js";
import { besselSeries } from "./bessel-series.js";

/**
 * A network solved with the complex numbers and the elimination of a general mathematics library, from textbook formulas. Nothing of our solver is used, and the
 * unknowns are others: pressures and *admittances* of ducts, cone velocities, and the voltages of the electrical nodes.
 */
type Z = Complex;
const c = (re: number, im = 0): Z => complex(re, im);
const plus = (...terms: readonly Z[]): Z => terms.reduce((a, b) => add(a, b) as Z);
const minus = (a: Z, b: Z): Z => subtract(a, b) as Z;
const times = (...factors: readonly Z[]): Z => factors.reduce((a, b) => multiply(a, b) as Z);
const over = (a: Z, b: Z): Z => divide(a, b) as Z;
const j = c(0, 1), one = c(1), zero = c(0);

/** Wave number (1/m) and characteristic impedance (Pa s/m) of a medium. */
export interface Waves {
  readonly k: Z;
  readonly z: Z;
}

/**
 * Porous fill: Delany & Bazley, Appl. Acoust. 3 (1970) 105; Miki, J. Acoust. Soc. Jpn (E) 11 (1990) 19, equations 35 and 36, in his own units; Johnson, Koplik & Dashen 1987
 * with Champoux & Allard 1991, by the viscous and thermal permeability and the frequencies at which layers and pores are alike (Lafarge et al., J. Acoust. Soc. Am. 102 (1997) 1995).
 */
export function fillWaves(omega: number, air: Air, fill: Fill): Waves {
  const f = omega / (2 * Math.PI), k = omega / air.soundSpeed, z = air.density * air.soundSpeed;
  if (fill.law === "Johnson-Champoux-Allard") {
    const { flowResistivity: sigma, porosity = 0.99, tortuosity = 1 } = fill, nu = air.viscosity / air.density, thermalNu = nu / air.prandtl;
    const q = air.viscosity / sigma, viscous = fill.viscousLength ?? Math.sqrt((8 * q * tortuosity) / porosity), thermal = fill.thermalLength ?? 2 * viscous, qThermal = (porosity * thermal ** 2) / 8;
    const M = (8 * q * tortuosity) / (porosity * viscous ** 2), X = (omega * q * tortuosity) / (nu * porosity), XThermal = (omega * qThermal) / (thermalNu * porosity);
    const turned = plus(one, times(over(one, c(0, X)), sqrt(c(1, (M * X) / 2)) as Z)), density = times(c(air.density * tortuosity), turned);
    const breathing = plus(one, times(over(one, c(0, XThermal)), sqrt(c(1, XThermal / 2)) as Z));
    const softness = times(minus(c(air.heatRatio), over(c(air.heatRatio - 1), breathing)), c(1 / (air.density * air.soundSpeed ** 2)));
    return { k: times(c(omega), sqrt(times(density, softness)) as Z), z: times(c(1 / porosity), sqrt(over(density, softness)) as Z) };
  }
  if (fill.law === "Delany-Bazley") {
    const X = (air.density * f) / fill.flowResistivity;
    return { k: times(c(k), c(1 + 0.0978 * X ** -0.7, -0.189 * X ** -0.595)), z: times(c(z), c(1 + 0.0571 * X ** -0.754, -0.087 * X ** -0.732)) };
  }
  const Y = (1000 * f) / fill.flowResistivity;
  return { k: times(c(k), c(1 + 7.81 * Y ** -0.618, -11.41 * Y ** -0.618)), z: times(c(z), c(1 + 5.5 * Y ** -0.632, -8.43 * Y ** -0.632)) };
}

/** Air in a round tube: Zwikker & Kosten 1949, F = 2 J1(x)/(x J0(x)), with Bessel functions of 80 digits. */
export function tubeWaves(omega: number, air: Air, radius: number): Waves {
  const F = (s: number): Z => {
    const { J0, J1 } = besselSeries([s / Math.SQRT2, -s / Math.SQRT2]);
    return over(times(c(2), c(...J1)), times(c(s / Math.SQRT2, -s / Math.SQRT2), c(...J0)));
  };
  const s = radius * Math.sqrt((omega * air.density) / air.viscosity);
  const density = over(c(air.density), minus(one, F(s)));
  const softness = over(plus(one, times(c(air.heatRatio - 1), F(s * Math.sqrt(air.prandtl)))), c(air.density * air.soundSpeed ** 2));
  return { k: times(c(omega), sqrt(times(density, softness)) as Z), z: sqrt(over(density, softness)) as Z };
}

type Chain = readonly [A: Z, B: Z, C: Z, D: Z];

/** Chain matrix of a section: closed forms for the uniform, conical and exponential flare (Beranek & Mellow, Acoustics, 2012, chapter 9), Webster's equation step by step for the others. */
export function sectionChain(s: DuctSection, { k, z }: Waves): Chain {
  const { length: L, areaStart: a, areaEnd: b } = s;
  if (s.flare === "uniform") {
    const x = times(k, c(L));
    return [cos(x) as Z, over(times(j, z, sin(x) as Z), c(a)), over(times(j, c(a), sin(x) as Z), z), cos(x) as Z];
  }
  if ((s.flare === "conical" && Math.abs(b / a - 1) > 1e-3) || s.flare === "exponential") {
    // two waves p and their flows U = -S p' / (j k z) at both ends; the chain matrix is that of the near end times the inverse of that of the far end
    const ends: Z[][] = [];
    for (const [at, S] of [[0, a], [L, b]] as const) {
      const row: Z[] = [];
      for (const sign of [-1, 1]) {
        let p: Z, slope: Z;
        if (s.flare === "conical") {
          const x = (L * Math.sqrt(a)) / (Math.sqrt(b) - Math.sqrt(a)) + at;
          const jk = times(j, k, c(sign));
          p = over(exp(times(jk, c(at))) as Z, c(x));
          slope = times(p, minus(jk, c(1 / x)));
        } else {
          const m = Math.log(b / a) / L, g = sqrt(minus(c((m * m) / 4), times(k, k))) as Z;
          const rate = plus(c(-m / 2), times(g, c(sign)));
          p = exp(times(rate, c(at))) as Z;
          slope = times(p, rate);
        }
        row.push(p, over(times(c(-S), slope), times(j, k, z)));
      }
      ends.push(row);
    }
    const [p1, u1, q1, v1] = ends[0]! as [Z, Z, Z, Z], [p2, u2, q2, v2] = ends[1]! as [Z, Z, Z, Z];
    const det = minus(times(p2, v2), times(q2, u2));
    const of = (x: Z, y: Z): [Z, Z] => [over(minus(times(x, v2), times(y, u2)), det), over(minus(times(y, p2), times(x, q2)), det)];
    const [A, B] = of(p1, q1), [C, D] = of(u1, v1);
    return [A, B, C, D];
  }
  return stepped(s, k, z, 240);
}

/** Webster's equation dp/dx = -j k z U / S, dU/dx = -j k S p / z (Proc. Nat. Acad. Sci. 5 (1919) 275) from the far end back to the near one, by the classical method of Runge and Kutta. */
function stepped(s: DuctSection, k: Z, z: Z, steps: number): Chain {
  const first = times(j, k, z), second = over(times(j, k), z), h = s.length / steps;
  const run = (p: Z, u: Z): [Z, Z] => {
    for (let i = steps; i > 0; i--) {
      // x falls: dp = +j k z U / S, dU = +j k S p / z
      const S = [i, i - 0.5, i - 0.5, i - 1].map((at) => profile(s, at / steps));
      const ks: [Z, Z][] = [];
      for (let stage = 0; stage < 4; stage++) {
        const share = c(stage === 3 ? h : h / 2);
        const pp = stage === 0 ? p : plus(p, times(share, ks[stage - 1]![0])), uu = stage === 0 ? u : plus(u, times(share, ks[stage - 1]![1]));
        ks.push([times(first, uu, c(1 / S[stage]!)), times(second, pp, c(S[stage]!))]);
      }
      const step = (i2: 0 | 1): Z => times(c(h / 6), plus(ks[0]![i2], times(c(2), plus(ks[1]![i2], ks[2]![i2])), ks[3]![i2]));
      p = plus(p, step(0));
      u = plus(u, step(1));
    }
    return [p, u];
  };
  const [A, C] = run(one, zero), [B, D] = run(zero, one);
  return [A, B, C, D];
}

/** Blocked impedance of a coil: eddy branch common practice; power law W. M. Leach, J. Audio Eng. Soc. 50 (2002) 442. */
function coilOf(q: MotorParameters, omega: number): Z {
  const s = c(0, omega);
  if (q.coil?.kind === "power law") return plus(c(q.Re), times(c(q.coil.K * omega ** q.coil.n), exp(c(0, (q.coil.n * Math.PI) / 2)) as Z));
  const plain = plus(c(q.Re), times(s, c(q.Le)));
  return q.coil?.kind === "eddy" ? plus(plain, over(one, plus(c(1 / q.coil.R2), over(one, times(s, c(q.coil.L2)))))) : plain;
}

/** Node pressures, flows of the openings, currents of the coils, cone velocities and the current of the source at one frequency, by name. */
export function solveNodes(network: Network, drive: Drive, air: Air, frequency: number, radiation: RadiationMatrix, place: number): Map<string, Z> {
  const omega = 2 * Math.PI * frequency, s = c(0, omega);
  const unknowns: string[] = [];
  const at = (name: string): number => {
    const i = unknowns.indexOf(name);
    return i >= 0 ? i : unknowns.push(name) - 1;
  };
  const entries: [number, number, Z][] = [], right: [number, Z][] = [];
  const put = (row: string, column: string, value: Z): void => void entries.push([at(row), at(column), value]);
  const lossless: Waves = { k: c(omega / air.soundSpeed), z: c(air.density * air.soundSpeed) };
  const tubes = new Map<number, Waves>();
  const waves = (d: DuctSection): Waves => {
    if (d.fill !== undefined) return fillWaves(omega, air, d.fill);
    if (d.walls === undefined) return lossless;
    const radius = Math.sqrt(d.areaStart / Math.PI);
    if (!tubes.has(radius)) tubes.set(radius, tubeWaves(omega, air, radius));
    return tubes.get(radius)!;
  };
  const openings = network.elements.filter((e) => e.kind === "opening");
  for (const e of network.elements) {
    if (e.kind === "volume") {
      const { k, z } = e.fill === undefined ? lossless : fillWaves(omega, air, e.fill);
      put(`p ${e.node}`, `p ${e.node}`, over(times(j, k, c(e.volume)), z)); // modulus z c
    } else if (e.kind === "lumped") {
      const impedance = plus(c(e.resistance), times(s, c(e.mass)), e.compliance === undefined ? zero : over(one, times(s, c(e.compliance))));
      const y = over(one, impedance), m = times(c(-1), y);
      put(`p ${e.from}`, `p ${e.from}`, y), put(`p ${e.from}`, `p ${e.to}`, m), put(`p ${e.to}`, `p ${e.from}`, m), put(`p ${e.to}`, `p ${e.to}`, y);
    } else if (e.kind === "opening") {
      put(`p ${e.node}`, `U ${e.name}`, one);
      put(`U ${e.name}`, `p ${e.node}`, one);
      const { load } = e;
      if (load.kind === "series") put(`U ${e.name}`, `U ${e.name}`, times(c(-1), plus(c(load.resistance), times(s, c(load.mass)))));
      else if (load.kind === "parallel") put(`U ${e.name}`, `U ${e.name}`, times(c(-1), over(one, plus(c(1 / load.resistance), over(one, times(s, c(load.mass)))))));
      else if (load.kind === "space") {
        const i = openings.indexOf(e), m = openings.length;
        openings.forEach((other, o) => put(`U ${e.name}`, `U ${other.name}`, c(-radiation.re[(place * m + i) * m + o]!, -radiation.im[(place * m + i) * m + o]!)));
      }
    } else {
      let chain: Chain = [one, zero, zero, one];
      for (const d of e.sections) {
        if (d.flare === "turn" || d.length === 0) continue;
        const [A, B, C, D] = chain, [E, F, G, H] = sectionChain(d, waves(d));
        chain = [plus(times(A, E), times(B, G)), plus(times(A, F), times(B, H)), plus(times(C, E), times(D, G)), plus(times(C, F), times(D, H))];
      }
      const [A, B, , D] = chain, m = over(c(-1), B);
      put(`p ${e.from}`, `p ${e.from}`, over(D, B)), put(`p ${e.from}`, `p ${e.to}`, m), put(`p ${e.to}`, `p ${e.from}`, m), put(`p ${e.to}`, `p ${e.to}`, over(A, B));
    }
  }
  for (const { name, driver: q, front, back } of network.drivers) {
    put(`p ${front}`, `v ${name}`, c(-q.Sd)), put(`p ${back}`, `v ${name}`, c(q.Sd));
    // Zm v + Sd (p_front - p_back) - Bl i = 0; e+ - e- = Ze i + Bl v
    put(`v ${name}`, `v ${name}`, plus(c(q.Rms), times(s, c(q.Mms)), over(one, times(s, c(q.Cms)))));
    put(`v ${name}`, `p ${front}`, c(q.Sd)), put(`v ${name}`, `p ${back}`, c(-q.Sd)), put(`v ${name}`, `i ${name}`, c(-q.Bl));
    put(`i ${name}`, `i ${name}`, times(c(-1), coilOf(q, omega))), put(`i ${name}`, `v ${name}`, c(-q.Bl));
  }
  // electrical nodes: the sum of the currents that leave each is zero; ground has no unknown
  const join = (part: Wiring, top: string, bottom: string): void => {
    if (part.kind !== "driver") {
      part.parts.forEach((p, i) => {
        if (part.kind === "parallel") join(p, top, bottom);
        else join(p, i === 0 ? top : `${top}/${i}`, i === part.parts.length - 1 ? bottom : `${top}/${i + 1}`);
      });
      return;
    }
    for (const [node, sign] of [[top, 1], [bottom, -1]] as const) {
      if (node === "ground") continue;
      const turned = part.reversed === true ? -sign : sign;
      put(`e ${node}`, `i ${part.name}`, c(turned));
      put(`i ${part.name}`, `e ${node}`, c(turned));
    }
  };
  join(network.wiring, "in", "ground");
  // the source: its current I flows into "in" through its resistance
  put("e in", "I", c(-1)), put("I", "e in", one), put("I", "I", c(drive.sourceResistance));
  right.push([at("I"), c(drive.voltage)]);
  const n = unknowns.length;
  const matrix: Z[][] = Array.from({ length: n }, () => Array.from({ length: n }, () => zero));
  for (const [row, column, value] of entries) matrix[row]![column] = plus(matrix[row]![column]!, value);
  const b: Z[] = Array.from({ length: n }, () => zero);
  for (const [row, value] of right) b[row] = value;
  // rows of like size, so that the library's choice of pivots is a good one
  matrix.forEach((row, i) => {
    const size = Math.max(...row.map((x) => Number(abs(x))));
    row.forEach((x, k) => (row[k] = over(x, c(size))));
    b[i] = over(b[i]!, c(size));
  });
  const solved = lusolve(matrix as never, b as never) as unknown as Z[][];
  return new Map(unknowns.map((name, i) => [name, solved[i]![0]!]));
}
