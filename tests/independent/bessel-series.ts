import { type BigNumber, create, all } from "mathjs";

const math = create(all!, { number: "BigNumber", precision: 80 });
const big = (x: number | string): BigNumber => math.bignumber(x);
const euler = big("0.57721566490153286060651209008240243104215933593992359880576723488486772677766467");
const pi = big("3.1415926535897932384626433832795028841971693993751058209749445923078164062862089986");

/** A complex number of plain numbers. */
export type Pair = [re: number, im: number];
type Wide = readonly [re: BigNumber, im: BigNumber];

const add = (a: Wide, b: Wide): Wide => [a[0].plus(b[0]), a[1].plus(b[1])];
const times = (a: Wide, b: Wide): Wide => [a[0].times(b[0]).minus(a[1].times(b[1])), a[0].times(b[1]).plus(a[1].times(b[0]))];
const scaled = (a: Wide, s: BigNumber): Wide => [a[0].times(s), a[1].times(s)];
const plain = (a: Wide): Pair => [a[0].toNumber(), a[1].toNumber()];

/** J0, J1, Y0, Y1 of a complex number in the right half plane, no unit. */
export interface BesselValues {
  readonly J0: Pair;
  readonly J1: Pair;
  readonly Y0: Pair;
  readonly Y1: Pair;
}

/**
 * Bessel functions of order zero and one by their power series alone, with 80 digits of a general library, so that no digit of the result is lost up to |z| of about 130.
 *
 * Source: Abramowitz & Stegun 1964, 9.1.10, 9.1.11 and 9.1.13; Euler's constant and pi from the same book's table 1.1, more digits from memory.
 */
export function besselSeries(z: readonly [number, number]): BesselValues {
  const half: Wide = [big(z[0]).div(2), big(z[1]).div(2)];
  const square = times(half, half), q: Wide = [square[0].neg(), square[1].neg()];
  let t0: Wide = [big(1), big(0)], t1: Wide = [big(1), big(0)];
  let j0 = t0, j1 = t1, y0: Wide = [big(0), big(0)];
  let harmonic = big(0);
  let y1: Wide = scaled(t1, big(1).minus(euler.times(2))); // psi(1) + psi(2)
  for (let k = 1; k < 900; k++) {
    t0 = scaled(times(t0, q), big(1).div(k * k));
    t1 = scaled(times(t1, q), big(1).div(k * (k + 1)));
    harmonic = harmonic.plus(big(1).div(k));
    j0 = add(j0, t0);
    j1 = add(j1, t1);
    y0 = add(y0, scaled(t0, harmonic.neg()));
    y1 = add(y1, scaled(t1, harmonic.times(2).plus(big(1).div(k + 1)).minus(euler.times(2))));
    if (t0[0].abs().plus(t0[1].abs()).lt("1e-75")) break;
  }
  const J1 = times(half, j1);
  // log(z/2); the angle is a plain number of 16 digits, its cosine and sine refine it to more than 40 by Newton's method
  const size2 = half[0].times(half[0]).plus(half[1].times(half[1]));
  const size = size2.sqrt();
  let angle = big(Math.atan2(z[1], z[0]));
  for (let i = 0; i < 3; i++) {
    const s = math.sin(angle) as BigNumber, c = math.cos(angle) as BigNumber;
    angle = angle.plus(half[1].times(c).minus(half[0].times(s)).div(size));
  }
  const log: Wide = [(math.log(size) as unknown as BigNumber), angle];
  const two = big(2).div(pi);
  const Y0 = scaled(add(times([log[0].plus(euler), log[1]], j0), y0), two);
  const inverse: Wide = [half[0].div(size2), half[1].neg().div(size2)];
  const Y1 = add(add(scaled(times(log, J1), two), scaled(inverse, big(-1).div(pi))), scaled(times(half, y1), big(-1).div(pi)));
  return { J0: plain(j0), J1: plain(J1), Y0: plain(Y0), Y1: plain(Y1) };
}

/** Struve function H1 of a real number by its power series with 80 digits, no unit. Source: Abramowitz & Stegun 1964, 12.1.3 and 12.1.5. */
export function struveSeries(x: number): number {
  const q = big(x).div(2).pow(2).neg();
  let term = big(x).pow(2).times(2).div(pi.times(3)), sum = term;
  for (let k = 1; k < 900; k++) {
    term = term.times(q).div((k + 0.5) * (k + 1.5));
    sum = sum.plus(term);
    if (term.abs().lt("1e-70")) break;
  }
  return sum.toNumber();
}
