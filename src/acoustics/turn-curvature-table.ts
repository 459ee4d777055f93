// How the mass and the volume of half a turn bend with frequency, by gap and divider over the height of the run. Equal heights, square corners,
// fitted for heights up to 0.15 wavelengths. Source: plane finite elements (quadratic triangles) of the turn, computed for this project.

const gaps: readonly number[] = [0.5, 0.7, 1, 1.4, 2];
const dividers: readonly number[] = [0.02, 0.05, 0.1, 0.2, 0.5, 1];

const odd: readonly (readonly number[])[] = [
  [2.43, 2.374, 2.307, 2.223, 2.082, 1.935],
  [1.919, 1.888, 1.853, 1.819, 1.788, 1.753],
  [1.338, 1.323, 1.312, 1.315, 1.377, 1.471],
  [0.883, 0.872, 0.866, 0.878, 0.968, 1.14],
  [0.565, 0.551, 0.543, 0.547, 0.615, 0.788],
];

const even: readonly (readonly number[])[] = [
  [0.807, 0.751, 0.681, 0.592, 0.482, 0.473],
  [1.313, 1.226, 1.117, 0.97, 0.763, 0.674],
  [2.127, 1.992, 1.822, 1.587, 1.228, 1.015],
  [3.288, 3.084, 2.826, 2.464, 1.89, 1.503],
  [5.361, 5.025, 4.6, 4.003, 3.029, 2.326],
];

/** Gaps over height between which the table holds, no unit. */
export const gapRange: { readonly from: number; readonly to: number } = Object.freeze({ from: 0.5, to: 2 });

/**
 * Curvatures of the odd (mass) and even (volume) impedance of half a turn with (k L)^2/3, no unit: linear in the logarithms between the entries
 * of the table, held beyond its edges.
 *
 * @param gap      gap over the height of the run, no unit, positive
 * @param divider  thickness of the divider over the height of the run, no unit, zero or positive
 */
export function turnCurvatures(gap: number, divider: number): { readonly odd: number; readonly even: number } {
  const [i, u] = placeIn(gaps, gap), [j, v] = placeIn(dividers, divider);
  const at = (t: readonly (readonly number[])[]): number =>
    (1 - u) * ((1 - v) * t[i]![j]! + v * t[i]![j + 1]!) + u * ((1 - v) * t[i + 1]![j]! + v * t[i + 1]![j + 1]!);
  return { odd: at(odd), even: at(even) };
}

/** Interval and place in it (0 to 1), in the logarithm. */
function placeIn(edges: readonly number[], value: number): readonly [number, number] {
  const last = edges.length - 1;
  const held = Math.min(Math.max(value, edges[0]!), edges[last]!);
  let i = 0;
  while (i + 2 <= last && held > edges[i + 1]!) i++;
  return [i, Math.log(held / edges[i]!) / Math.log(edges[i + 1]! / edges[i]!)];
}
