/** Labelled places of an axis and the unlabelled lines between them, in the unit of the axis. */
export interface Ticks {
  /** ascending, in the unit of the axis */
  readonly values: readonly number[];
  /** one label for each value, no unit */
  readonly labels: readonly string[];
  /** ascending, in the unit of the axis; thin lines without label */
  readonly minor: readonly number[];
}

// From dense to sparse; the first list whose labels have room is taken.
const multiples: readonly (readonly number[])[] = [
  [1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 7, 8, 9],
  [1, 1.5, 2, 3, 4, 5, 6, 8],
  [1, 2, 3, 5, 7],
  [1, 2, 3, 5],
  [1, 2, 5],
  [1, 3],
  [1],
];

/**
 * Ticks of a logarithmic axis in numbers people read: 20, 50, 100, 1k; never powers of ten.
 * As many multiples are labelled as have room; below half a decade the steps are even.
 *
 * @param from   lower end, in the unit of the axis, positive
 * @param to     upper end, in the unit of the axis
 * @param space  length of the axis and least distance of two labels, both in px
 */
export function logTicks(from: number, to: number, space: { readonly length: number; readonly least: number }): Ticks {
  const decades = Math.log10(to / from);
  const minor = decadeSteps(from, to, [1, 2, 3, 4, 5, 6, 7, 8, 9]);
  const fits = (values: readonly number[]): boolean =>
    values.every((value, i) => i === 0 || (Math.log10(value / values[i - 1]!) / decades) * space.length >= space.least);
  let values = decadeSteps(from, to, [1]);
  if (decades < 0.5) values = linearSteps(from, to, niceStep((to - from) / 7));
  else values = multiples.map((list) => decadeSteps(from, to, list)).find(fits) ?? values;
  return { values, labels: values.map(tickLabel), minor: minor.filter((value) => !values.includes(value)) };
}

/**
 * Multiples of a step inside a range, both ends included, in the unit of the axis.
 *
 * @param from  lower end
 * @param to    upper end
 * @param step  distance of two neighbours, positive
 */
export function linearSteps(from: number, to: number, step: number): number[] {
  const values: number[] = [];
  const last = Math.floor(to / step + 1e-6);
  for (let count = Math.ceil(from / step - 1e-6); count <= last; count++) values.push(tidy(count * step));
  return values;
}

/**
 * The smallest of 1, 2, 5, 10, ... times a power of ten that is not below a step; same unit as the step.
 *
 * @param step  wanted distance, positive
 */
export function niceStep(step: number): number {
  const power = 10 ** Math.floor(Math.log10(step));
  const factor = [1, 2, 5, 10].find((candidate) => candidate * power >= step * 0.999) ?? 10;
  return tidy(factor * power);
}

/**
 * A number as it stands at a tick, no unit: 1000 is "1k", 1500 is "1.5k", 0.05 stays "0.05".
 *
 * @param value  in the unit of the axis
 */
export function tickLabel(value: number): string {
  const size = Math.abs(value);
  if (size >= 1e6) return `${tidy(value / 1e6)}M`;
  return size >= 1000 ? `${tidy(value / 1000)}k` : String(tidy(value)).replace("-", "\u2212");
}

/** A number without the dust of binary fractions; same unit. */
export function tidy(value: number): number {
  return Number(value.toPrecision(12));
}

function decadeSteps(from: number, to: number, list: readonly number[]): number[] {
  const values: number[] = [];
  for (let power = Math.floor(Math.log10(from)) - 1; power <= Math.log10(to) + 1; power++) {
    for (const multiple of list) {
      const value = tidy(multiple * 10 ** power);
      if (value >= from * 0.9999 && value <= to * 1.0001) values.push(value);
    }
  }
  return values;
}
