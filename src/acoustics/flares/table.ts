import { InputError } from "../../errors.js";
import { interpolateMonotone } from "../../math/interpolate.js";
import { type ConeOptions, coneStations, type Place } from "./cones.js";

const mostRows = 1000;

/**
 * Places along a duct whose area was measured, between which it is solved as cones, at m, area m^2. Between the rows the area follows a monotone cubic, which never
 * leaves the values of its neighbours; each stretch is cut into equal cones until the throat impedance stands still within the tolerance (see `coneStations`).
 *
 * @param rows     distance from zero (m) and area (m^2), ascending, 2 to 1000 rows
 * @param options  tolerance and highest frequency
 * @throws InputError  when rows are missing, do not ascend from zero, or an area is not positive
 *
 * Source: interpolation F. N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238.
 */
export function tableStations(rows: readonly Place[], options: ConeOptions = {}): readonly Place[] {
  if (rows.length < 2 || rows.length > mostRows) throw new InputError({ where: "table", came: `${rows.length} rows`, expected: `2 to ${mostRows} rows with distance and area are expected` });
  rows.forEach(({ at, area }, i) => {
    if (!(i === 0 ? at === 0 : at > rows[i - 1]!.at && Number.isFinite(at))) throw new InputError({ where: `table[${i}].at`, came: `${at} m`, expected: "distances that ascend from 0 are expected" });
    if (!(area > 0 && Number.isFinite(area))) throw new InputError({ where: `table[${i}].area`, came: `${area} m^2`, expected: "a positive area is expected" });
  });
  const points = { places: Float64Array.from(rows, (r) => r.at), values: Float64Array.from(rows, (r) => r.area) };
  const spans = rows.length - 1;
  // steps are counted per row, so that every row stays a station
  const profile = (steps: number): readonly Place[] => {
    const each = steps / spans;
    const at = Float64Array.from({ length: steps + 1 }, (_, i) => {
      const row = Math.min(Math.floor(i / each), spans - 1), share = (i - row * each) / each;
      return share === 1 ? rows[row + 1]!.at : rows[row]!.at + (rows[row + 1]!.at - rows[row]!.at) * share;
    });
    const area = interpolateMonotone(points, at);
    return Array.from(at, (x, i) => ({ at: x, area: area[i]! }));
  };
  return coneStations(profile, spans, { ...options, where: "table" });
}
