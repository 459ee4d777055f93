import { straightPath, type FoldedPlan } from "./path.js";

/** Text of van-horn-path.json for an outline; lengths m, areas m^2, volume m^3. */
export function pathText(plan: FoldedPlan): string {
  const round = (value: number): number => Math.round(value * 1e7) / 1e7;
  const path = straightPath(plan, { bodies: true });
  const lines = path.stations.map(({ at, area, what }) => `    ${JSON.stringify({ at: round(at), area: round(area), what })}`).join(",\n");
  const taps = (one: { front: number; back: number }): string => JSON.stringify({ front: round(one.front), back: round(one.back) });
  return `{
  "note": "Invented box, made by make-path.ts from van-horn-outline.json. Distances along the path from the closed throat end; two stations at the same distance are a step in area; area linear between stations. Runs: clear height times depth. Turns: effective ducts with the turn's own mass and volume, derived by conformal mapping (thin dividers: two ducts; outer turn round the throat pair: corner, straight, corner). The driver's body is taken off the area of the mouth run as two steps. Taps: where the two faces of the cone act, on bent wave fronts; projectedTaps: from the drawing alone.",
  "units": "metres, square metres, cubic metres",
  "length": ${round(path.length)},
  "volume": ${round(path.volume)},
  "taps": ${taps(path.taps)},
  "projectedTaps": ${taps(path.projectedTaps)},
  "stations": [
${lines}
  ]
}
`;
}
