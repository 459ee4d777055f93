/** Highest ka of the theory, no unit: the table's end. Above, |R| goes on falling at the rate it has there and the length correction is held. */
export const unflangedRange: number = 3.8;

const step = 0.05;

// -ln |R| / (ka)^2 and length correction over radius at ka = 0, 0.05, ... 3.8: quadrature of the integrals of Levine & Schwinger 1948
const loss: readonly number[] = [
  0.5, 0.4983388, 0.4945511, 0.48936, 0.483175, 0.4762849, 0.4689059, 0.4612031, 0.4533042, 0.4453076, 0.4372894,
  0.4293078, 0.4214073, 0.4136211, 0.405974, 0.3984838, 0.3911632, 0.3840204, 0.3770604, 0.3702856, 0.3636964, 0.3572917,
  0.3510692, 0.3450257, 0.3391573, 0.3334597, 0.3279283, 0.3225582, 0.3173445, 0.312282, 0.3073658, 0.3025908, 0.2979522,
  0.2934452, 0.289065, 0.284807, 0.2806669, 0.2766404, 0.2727234, 0.2689119, 0.265202, 0.26159, 0.2580725, 0.2546461,
  0.2513074, 0.2480533, 0.244881, 0.2417874, 0.2387698, 0.2358257, 0.2329524, 0.2301475, 0.2274088, 0.224734, 0.2221209,
  0.2195675, 0.2170719, 0.2146321, 0.2122464, 0.209913, 0.2076303, 0.2053967, 0.2032106, 0.2010706, 0.1989752, 0.1969231,
  0.194913, 0.1929436, 0.1910138, 0.1891223, 0.187268, 0.1854499, 0.183667, 0.1819182, 0.1802025, 0.1785192, 0.1768671,
];
const correction: readonly number[] = [
  0.612701, 0.6122557, 0.6109875, 0.6089969, 0.6063796, 0.6032238, 0.5996087, 0.5956048, 0.5912736, 0.5866687, 0.5818364,
  0.5768163, 0.5716425, 0.566344, 0.5609454, 0.5554679, 0.5499292, 0.5443444, 0.5387263, 0.5330854, 0.5274308, 0.52177,
  0.5161092, 0.5104535, 0.5048072, 0.4991735, 0.4935553, 0.4879545, 0.4823727, 0.476811, 0.4712701, 0.4657502, 0.4602516,
  0.4547737, 0.4493163, 0.4438784, 0.4384593, 0.4330577, 0.4276723, 0.4223018, 0.4169444, 0.4115983, 0.4062616, 0.4009321,
  0.3956076, 0.3902857, 0.3849635, 0.3796383, 0.374307, 0.3689663, 0.3636125, 0.3582417, 0.3528498, 0.3474321, 0.3419833,
  0.336498, 0.3309699, 0.325392, 0.3197564, 0.3140542, 0.3082755, 0.3024084, 0.2964396, 0.2903529, 0.2841297, 0.2777471,
  0.2711771, 0.2643851, 0.2573267, 0.2499439, 0.2421585, 0.2338604, 0.2248864, 0.2149759, 0.2036654, 0.189965, 0.170744,
];

/**
 * Impedance at the end of a thin round pipe without flange, over rho c, no unit: z = (1 + R) / (1 - R), R = -|R| e^(-2 j ka l/a), from a table of the
 * exact integrals (between the entries a cubic; z within 1e-4 of the integrals up to ka = 3.75, 1e-3 up to 3.8). At low frequency (ka)^2/4 + j 0.6127 ka.
 *
 * Source: H. Levine, J. Schwinger, Phys. Rev. 73 (1948) 383.
 *
 * @param ka   wave number times radius, no unit, zero or positive
 * @param out  receives re and im, no unit
 */
export function unflangedImpedance(ka: number, out: { re: number; im: number }): void {
  const held = Math.min(ka, unflangedRange);
  const above = ka - held;
  // z = tanh(a + j b) with |R| = e^(-2 a): no cancellation at low frequency
  const end = loss.length - 1, rate = (loss[end]! * (end * step) ** 2 - loss[end - 1]! * ((end - 1) * step) ** 2) / step;
  const a = (cubic(loss, held) * held * held + rate * above) / 2;
  const b = ka * cubic(correction, held);
  const d = Math.cosh(2 * a) + Math.cos(2 * b);
  out.re = Number.isFinite(d) ? Math.sinh(2 * a) / d : 1;
  out.im = Number.isFinite(d) ? Math.sin(2 * b) / d : 0;
}

/** Cubic through the four entries around ka. */
function cubic(table: readonly number[], ka: number): number {
  const i = Math.min(Math.max(Math.floor(ka / step) - 1, 0), table.length - 4), t = ka / step - i;
  const [p, q, r, s] = [table[i]!, table[i + 1]!, table[i + 2]!, table[i + 3]!];
  return (-p * (t - 1) * (t - 2) * (t - 3)) / 6 + (q * t * (t - 2) * (t - 3)) / 2 - (r * t * (t - 1) * (t - 3)) / 2 + (s * t * (t - 1) * (t - 2)) / 6;
}
