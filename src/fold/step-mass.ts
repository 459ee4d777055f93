/**
 * Acoustic mass of a sudden change of height in a flat channel as F in M = rho F / depth, no unit: what the bent flow adds to plane flow on both sides.
 *
 * Source: N. Marcuvitz, Waveguide Handbook, 1951, section 5.26 (change in height of a rectangular guide, static limit), whose field is the same: shunt
 * susceptance there is series mass here.
 *
 * @param share  height of the narrower side over that of the wider one, no unit, above 0 up to 1
 * @param kind   "one wall": one wall goes on straight; "both walls": the narrower side lies in the middle, or a body stands in the middle of the channel
 */
export function stepMassFactor(share: number, kind: "one wall" | "both walls"): number {
  if (share >= 1 - 1e-9) return 0;
  const x = ((share * share + 1) / (2 * share)) * Math.log((1 + share) / (1 - share)) - Math.log((4 * share) / (1 - share * share));
  return ((kind === "one wall" ? 2 : 1) * x) / Math.PI;
}
