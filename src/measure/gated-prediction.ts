import { InputError } from "../errors.js";
import type { Curve } from "../math/curve.js";

/** A gate with both ends known, counted from the time zero of a measurement, s; its half windows are those of a raised cosine. */
export interface ClosedGate {
  /** s, before which all is zero; may be negative */
  readonly from: number;
  /** s, after which all is zero */
  readonly to: number;
  /** s, rising half window after `from` */
  readonly fadeIn: number;
  /** s, falling half window before `to` */
  readonly fadeOut: number;
}

/** Real and imaginary parts of a response, in its unit, n values each. */
export interface Parts {
  /** real part, in the unit of the curve, n values */
  readonly re: Float64Array;
  /** imaginary part, in the unit of the curve, n values */
  readonly im: Float64Array;
}

/** s after the end of the gate in which a prediction has to die away, so that it does not come round again. Loudspeakers for low frequencies do: common practice, no source. */
const dyingAway = 0.65;

/**
 * Even frequencies in Hz, from one step on, at which a prediction must be known to be gated up to the highest wanted frequency.
 *
 * @param highest  Hz
 */
export function gatingGrid(gate: ClosedGate, highest: number): Float64Array {
  const step = Math.min(1, 1 / (gate.to + dyingAway)), beyond = Math.min(200, Math.max(50, 1.5 / Math.max(gate.fadeOut, 1e-3)));
  return Float64Array.from({ length: Math.ceil((highest + beyond) / step) }, (_, k) => (k + 1) * step);
}

/**
 * s by which a measurement comes after a prediction: where the two, laid over each other with any sign, are most alike.
 *
 * @param measured   with its phase
 * @param trusted    1 where it counts; all of it when missing
 * @param predicted  on `grid`, even frequencies in Hz
 *
 * Source: matched delay of two signals, as in C. H. Knapp, G. C. Carter, IEEE Trans. Acoust. Speech Signal Process. 24 (1976) 320.
 */
export function delayAfter({ curve, trusted }: { readonly curve: Curve; readonly trusted?: Uint8Array | undefined }, { re, im }: Parts, grid: Float64Array): number {
  const step = grid[0]!, places: number[] = [], f: number[] = [];
  curve.frequencies.forEach((frequency, i) => {
    const k = Math.round(frequency / step) - 1;
    if (trusted?.[i] === 0 || k < 0 || k >= grid.length || Math.abs(grid[k]! - frequency) > step) return;
    places.push(i);
    f.push(frequency);
  });
  // the prediction between its points, and both by their size, so that no peak decides alone
  const crossRe = new Float64Array(f.length), crossIm = new Float64Array(f.length);
  f.forEach((frequency, n) => {
    const k = Math.min(grid.length - 2, Math.max(0, Math.floor(frequency / step) - 1)), part = frequency / step - 1 - k, i = places[n]!;
    const a = re[k]! + part * (re[k + 1]! - re[k]!), b = im[k]! + part * (im[k + 1]! - im[k]!), c = curve.re[i]!, d = curve.im[i]!;
    const size = Math.sqrt(Math.hypot(a, b) * Math.hypot(c, d)) || 1;
    crossRe[n] = (c * a + d * b) / size;
    crossIm[n] = (d * a - c * b) / size;
  });
  const alike = (delay: number): number => {
    let x = 0, y = 0;
    f.forEach((frequency, n) => {
      const turn = 2 * Math.PI * frequency * delay, cos = Math.cos(turn), sin = Math.sin(turn);
      x += crossRe[n]! * cos - crossIm[n]! * sin;
      y += crossRe[n]! * sin + crossIm[n]! * cos;
    });
    return Math.abs(x) + 1e-9 * Math.abs(y);
  };
  let best = 0, top = -1;
  for (let n = -1000; n <= 2000; n++) {
    const found = alike(n * 1e-4);
    if (found > top) [top, best] = [found, n * 1e-4];
  }
  return best;
}

/**
 * How a prediction on an even grid is gated like a measurement: gives real and imaginary parts at the wanted frequencies, in the unit of the prediction.
 *
 * @param options  wanted frequencies and the even grid in Hz; delay of the measurement after the prediction in s
 * @throws InputError  for a gate that ends before it starts
 * @remarks Its spectrum is the convolution of the response with that of the window, summed over the grid and its mirror at negative frequencies.
 *
 * Source: transform of a product, elementary; of a raised-cosine edge: derived here.
 */
export function makeGating(gate: ClosedGate, { frequencies, grid, delay }: { readonly frequencies: Float64Array; readonly grid: Float64Array; readonly delay: number }): (predicted: Parts) => Parts {
  // a prediction is silent before it starts: a gate that starts far ahead keeps the same as one that starts a little ahead
  const early = Math.min(0, delay) - 0.02, isEarly = gate.from + gate.fadeIn < early;
  const from = (isEarly ? early : gate.from) - delay, to = gate.to - delay, fadeIn = isEarly ? 0 : gate.fadeIn, { fadeOut } = gate;
  if (!(to > from)) throw new InputError({ where: "gate", came: `${from} s to ${to} s`, expected: "a start before the end is expected" });
  const n = frequencies.length, m = grid.length, step = grid[0]!, kernels = [0, 1, 2, 3].map(() => new Float64Array(n * m));
  const [plusRe, plusIm, minusRe, minusIm] = kernels as [Float64Array, Float64Array, Float64Array, Float64Array];
  const edge = (v: number, fade: number): number => {
    const x = 2 * v * fade;
    return Math.abs(x * x - 1) < 1e-6 ? Math.PI / 4 : Math.cos((Math.PI * x) / 2) / (1 - x * x);
  };
  const up = from + fadeIn / 2, down = to - fadeOut / 2;
  const at = (v: number, re: Float64Array, im: Float64Array, place: number): void => {
    if (Math.abs(v) < 1e-7) {
      re[place] = (down - up) * step;
      return;
    }
    const w = 2 * Math.PI * v, a = edge(v, fadeIn), b = edge(v, fadeOut);
    // (a e^{-j w up} - b e^{-j w down}) / (j w)
    re[place] = ((b * Math.sin(w * down) - a * Math.sin(w * up)) / w) * step;
    im[place] = ((b * Math.cos(w * down) - a * Math.cos(w * up)) / w) * step;
  };
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < m; k++) {
      at(frequencies[i]! - grid[k]!, plusRe, plusIm, i * m + k);
      at(frequencies[i]! + grid[k]!, minusRe, minusIm, i * m + k);
    }
  }
  return ({ re, im }) => {
    const outRe = new Float64Array(n), outIm = new Float64Array(n);
    for (let i = 0; i < n; i++) {
      let x = 0, y = 0;
      for (let k = 0, p = i * m; k < m; k++, p++) {
        const a = re[k]!, b = im[k]!;
        x += a * (plusRe[p]! + minusRe[p]!) - b * (plusIm[p]! - minusIm[p]!);
        y += a * (plusIm[p]! + minusIm[p]!) + b * (plusRe[p]! - minusRe[p]!);
      }
      outRe[i] = x;
      outIm[i] = y;
    }
    return { re: outRe, im: outIm };
  };
}
