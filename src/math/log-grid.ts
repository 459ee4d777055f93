import { InputError } from "../errors.js";

/**
 * Frequencies in Hz, evenly spaced on a logarithmic axis, both ends included, `count` values.
 *
 * @param start  Hz, positive
 * @param stop   Hz, above start
 * @param count  whole number, 2 or more
 * @throws InputError  when a value is out of range
 */
export function logGrid(start: number, stop: number, count: number): Float64Array {
  if (!(start > 0 && stop > start && Number.isFinite(stop))) {
    throw new InputError({
      where: "frequencies",
      came: `${start} Hz to ${stop} Hz`,
      expected: "a positive start below the stop is expected",
    });
  }
  if (!Number.isInteger(count) || count < 2 || count > 1_000_000) {
    throw new InputError({
      where: "frequencies",
      came: `a count of ${count}`,
      expected: "a whole number from 2 to 1000000 is expected",
    });
  }
  const out = new Float64Array(count);
  const step = Math.log(stop / start) / (count - 1);
  for (let i = 0; i < count; i++) out[i] = start * Math.exp(i * step);
  out[0] = start;
  out[count - 1] = stop;
  return out;
}

/**
 * Frequencies in Hz with a fixed number of points per octave, starting at `start`, ending at or below `stop`.
 *
 * @param start      Hz, positive
 * @param stop       Hz, above start
 * @param perOctave  points per octave, positive
 */
export function octaveGrid(start: number, stop: number, perOctave: number): Float64Array {
  if (!(perOctave > 0)) {
    throw new InputError({ where: "frequencies", came: `${perOctave} points per octave`, expected: "a positive number is expected" });
  }
  const count = Math.floor(Math.log2(stop / start) * perOctave + 1e-9) + 1;
  if (!(count >= 2 && count <= 1_000_000 && start > 0)) {
    throw new InputError({ where: "frequencies", came: `${start} Hz to ${stop} Hz at ${perOctave} points per octave`, expected: "a positive start below the stop is expected" });
  }
  const out = new Float64Array(count);
  for (let i = 0; i < count; i++) out[i] = start * 2 ** (i / perOctave);
  return out;
}
