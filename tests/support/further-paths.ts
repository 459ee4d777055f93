import type { Json } from "./sample-designs.js";

/** Tapped horns whose paths use every way to give one: turns, fills, flares with a shape, a measured table, a tractrix. */
export function furtherPaths(): Record<string, Json> {
  return {
    "tapped horn with turns and fill": {
      kind: "tapped horn",
      path: {
        depth: "180 mm",
        flare: "parabolic",
        pieces: [
          { length: "0.5 m", from: "90 cm^2", to: "105 cm^2", what: "first run" },
          { what: "inner turn", turn: { before: "58 mm", after: "64 mm", gap: "55 mm", divider: "12 mm", cut: "20 mm" } },
          { length: "0.5 m", from: "115 cm^2", to: "130 cm^2", flare: "hyperbolic", shape: 0.5, fill: { flowResistivity: "500 Pa s/m^2", law: "Miki" } },
          { turn: { before: "72 mm", after: "80 mm", gap: "70 mm", divider: 0.012, model: "effective" }, fill: { flowResistivity: 500, law: "Delany-Bazley" } },
          { length: "0.6 m", from: "144 cm^2", to: "170 cm^2", flare: "catenoidal" },
        ],
      },
      frontTap: "9 cm",
      backTap: "1.6 m",
    },
    "tapped horn of a measured table": {
      kind: "tapped horn",
      path: { crossSection: "round", wallLoss: false, table: [{ at: 0, area: "70 cm^2" }, { at: "1.1 m", area: "120 cm^2" }, { at: 2.3, area: "300 cm^2" }] },
      frontTap: "9 cm",
      backTap: "2.2 m",
    },
    "tapped horn as a tractrix": { kind: "tapped horn", path: { tractrix: { throat: "40 cm^2", mouth: "2000 cm^2", length: "30 cm" } }, frontTap: "5 cm", backTap: "25 cm" },
    "tapped horn with a hyperbolic path": {
      kind: "tapped horn",
      path: {
        flare: "hyperbolic",
        shape: "0.6",
        depth: "180 mm",
        stations: [
          { at: 0, area: "70 cm^2", fill: { flowResistivity: "300 Pa s/m^2" } },
          { at: "1 m", area: "90 cm^2", flare: "catenoidal" },
          { at: "2.4 m", area: "300 cm^2" },
        ],
      },
      frontTap: "9 cm",
      backTap: "2.2 m",
    },
  };
}
