/** Pairs of taps beside the middle one, at odd distances; no unit. */
const pairs = 12;

/** Taps at the distances 1, 3, 5 ... of a half-band low-pass, no unit; the middle tap is 1/2, those at even distances are 0. */
const taps = makeTaps();

function makeTaps(): Float64Array {
  const shape = 13.4, top = modifiedBessel(shape), out = new Float64Array(pairs);
  let sum = 0;
  for (let i = 0; i < pairs; i++) {
    const distance = 2 * i + 1, place = distance / (2 * pairs);
    sum += out[i] = ((Math.sin((Math.PI * distance) / 2) / (Math.PI * distance)) * modifiedBessel(shape * Math.sqrt(1 - place * place))) / top;
  }
  return out.map((tap) => tap / (4 * sum)); // both sides together are 1/2, so that 0 Hz passes exactly
}

/** Modified Bessel function of order zero, no unit, by its power series. */
function modifiedBessel(x: number): number {
  let term = 1, sum = 1;
  for (let k = 1; term > 1e-17 * sum; k++) {
    term *= (x / (2 * k)) ** 2;
    sum += term;
  }
  return sum;
}

/** Samples between two reports of progress, no unit. */
const run = 1 << 20;

/**
 * A series at half its rate: its values after a low-pass, sample n at the place of sample 2 n; same unit as the values. Yields the share that is done, 0 to 1.
 *
 * @remarks Up to 0.15 of the first rate nothing changes (to 1e-6), from 0.35 on nothing is left (-120 dB); between them parts fold into what lies above 0.3 of
 * the new rate. Values outside the series count as zero.
 *
 * Source: half-band filters, F. Mintzer, IEEE Trans. ASSP-30 (1982) 734; window, J. F. Kaiser, Proc. IEEE ISCAS (1974) 20.
 */
export function* halved(values: Float32Array): Generator<number, Float32Array> {
  const count = Math.ceil(values.length / 2), out = new Float32Array(count), reach = 2 * pairs;
  const edge = (n: number): number => {
    let sum = 0.5 * values[2 * n]!;
    for (let i = 0; i < pairs; i++) sum += taps[i]! * ((values[2 * n - 2 * i - 1] ?? 0) + (values[2 * n + 2 * i + 1] ?? 0));
    return sum;
  };
  const inner = Math.min(pairs, count), outer = Math.max(inner, Math.floor((values.length - reach) / 2));
  for (let n = 0; n < inner; n++) out[n] = edge(n);
  for (let from = inner; from < outer; from += run) {
    halve(values, out, from, Math.min(outer, from + run));
    yield Math.min(outer, from + run) / count;
  }
  for (let n = outer; n < count; n++) out[n] = edge(n);
  return out;
}

// one sum written out: it is where the time goes
function halve(values: Float32Array, out: Float32Array, from: number, to: number): void {
  const a = taps[0]!, b = taps[1]!, c = taps[2]!, d = taps[3]!, e = taps[4]!, f = taps[5]!, g = taps[6]!, h = taps[7]!, i = taps[8]!, j = taps[9]!, k = taps[10]!, l = taps[11]!;
  for (let n = from, m = 2 * from; n < to; n++, m += 2) {
    out[n] = 0.5 * values[m]! + a * (values[m - 1]! + values[m + 1]!) + b * (values[m - 3]! + values[m + 3]!) + c * (values[m - 5]! + values[m + 5]!) + d * (values[m - 7]! + values[m + 7]!)
      + e * (values[m - 9]! + values[m + 9]!) + f * (values[m - 11]! + values[m + 11]!) + g * (values[m - 13]! + values[m + 13]!) + h * (values[m - 15]! + values[m + 15]!)
      + i * (values[m - 17]! + values[m + 17]!) + j * (values[m - 19]! + values[m + 19]!) + k * (values[m - 21]! + values[m + 21]!) + l * (values[m - 23]! + values[m + 23]!);
  }
}

/** A series at twice its rate, sample n at the place 2 n; same unit as the values. What lies below 0.3 of the first rate is kept (to 1e-6). Source: as `halved`. */
export function doubled(values: Float64Array): Float64Array {
  const count = values.length, out = new Float64Array(2 * count), inner = Math.max(0, count - pairs);
  const a = 2 * taps[0]!, b = 2 * taps[1]!, c = 2 * taps[2]!, d = 2 * taps[3]!, e = 2 * taps[4]!, f = 2 * taps[5]!, g = 2 * taps[6]!, h = 2 * taps[7]!, i = 2 * taps[8]!, j = 2 * taps[9]!, k = 2 * taps[10]!, l = 2 * taps[11]!;
  for (let n = pairs; n < inner; n++) {
    out[2 * n] = values[n]!;
    out[2 * n + 1] = a * (values[n]! + values[n + 1]!) + b * (values[n - 1]! + values[n + 2]!) + c * (values[n - 2]! + values[n + 3]!) + d * (values[n - 3]! + values[n + 4]!)
      + e * (values[n - 4]! + values[n + 5]!) + f * (values[n - 5]! + values[n + 6]!) + g * (values[n - 6]! + values[n + 7]!) + h * (values[n - 7]! + values[n + 8]!)
      + i * (values[n - 8]! + values[n + 9]!) + j * (values[n - 9]! + values[n + 10]!) + k * (values[n - 10]! + values[n + 11]!) + l * (values[n - 11]! + values[n + 12]!);
  }
  const edge = (n: number): void => {
    let sum = 0;
    for (let p = 0; p < pairs; p++) sum += taps[p]! * ((values[n - p] ?? 0) + (values[n + 1 + p] ?? 0));
    out[2 * n] = values[n]!;
    out[2 * n + 1] = 2 * sum;
  };
  for (let n = 0; n < Math.min(pairs, count); n++) edge(n);
  for (let n = Math.max(pairs, inner); n < count; n++) edge(n);
  return out;
}
