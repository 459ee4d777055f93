import type { Json } from "./sample-designs.js";

/** Enclosures of the other kinds and elements of networks with every field that there is; made anew at each call. */
export function furtherEnclosures(): Record<string, Json> {
  const fill = { flowResistivity: "4000 Pa s/m^2", law: "Miki" };
  const wool = { flowResistivity: "4000 Pa s/m^2", law: "Johnson-Champoux-Allard", porosity: "98 %", tortuosity: 1.05, viscousLength: "0.2 mm", thermalLength: "0.4 mm" };
  const gap = { width: "30 cm", height: "0.4 mm", depth: "18 mm" };
  const chamber = { volume: "4 L", fill, absorption: 500, leak: "5e5 Pa s/m^3" };
  const run = { wallLoss: true, stations: [{ at: 0, area: "90 cm^2" }, { at: "1.9 m", area: "260 cm^2" }] };
  const drivers = { count: 2, wiring: "series", mounting: "push-pull" };
  return {
    "closed box with two drivers": { kind: "closed box", volume: "20 L", fill, absorption: "300 Pa s/m^3", drivers: { count: 2, wiring: "parallel", mounting: "opposed" }, loads: { "cone 1": "release", "cone 2": { parallel: { mass: 6, resistance: 60000 } } } },
    "vented box with a slot": { kind: "vented box", volume: "20 L", absorption: 100, port: { slot: { width: "150 mm", height: "25 mm", onWall: true }, tuning: "40 Hz", resistance: "200 Pa s/m^3" }, drivers: { count: 2 } },
    "vented box with rounded ports": { kind: "vented box", volume: "20 L", port: { diameter: "50 mm", length: "180 mm", rounding: "15 mm", count: 2 } },
    "closed box with a slot leak": { kind: "closed box", volume: "20 L", fill: wool, leak: { slot: gap }, loads: { leak: "release" } },
    "vented box with a pipe": { kind: "vented box", volume: "20 L", port: { diameter: "50 mm", length: "180 mm", openingShape: "unflanged" } },
    "vented box with a square opening": { kind: "vented box", volume: "20 L", leak: { slot: gap }, port: { mass: "60 kg/m^4", area: "28 cm^2", openingShape: "square" } },
    "vented box with a mass": { kind: "vented box", volume: "20 L", port: { mass: "60 kg/m^4", resistance: 300, area: "28 cm^2" }, loads: { port: { series: { mass: 0, resistance: 50 } } } },
    "passive radiator box": { kind: "passive radiator box", volume: "14 L", radiator: { Sd: "133 cm^2", fs: "25 Hz", Vas: "20 L", Qms: 8, addedMass: "30 g", count: 2 }, air: { density: 1.2, soundSpeed: 343 } },
    "passive radiator box by mass": { kind: "passive radiator box", volume: "14 L", radiator: { Sd: "133 cm^2", Mms: "60 g", Cms: "1 mm/N", Rms: "1.2 N s/m" } },
    "fourth-order band-pass": { kind: "fourth-order band-pass", rear: chamber, front: { volume: "9 L" }, port: { diameter: "70 mm", tuning: "62 Hz" }, wallLoss: true, air: { soundSpeed: 343 }, drivers },
    "sixth-order band-pass": { kind: "sixth-order band-pass", rear: { volume: "25 L" }, front: { volume: "9 L" }, rearPort: { diameter: "60 mm", tuning: "35 Hz" }, frontPort: { diameter: "70 mm", tuning: "80 Hz" }, tuned: "series", wallLoss: false },
    "transmission line with a slot leak": { kind: "transmission line", path: run, driverAt: "35 cm", fill: [{ from: 0, to: "60 cm", ...wool }], chamber: { volume: "1 L", leak: { slot: gap } }, leak: { slot: gap }, mouthShape: { width: "26 cm", height: "10 cm" } },
    "transmission line": { kind: "transmission line", path: run, driverAt: "35 cm", end: "open", fill: [{ from: 0, to: "60 cm", ...fill }, { from: "1 m", flowResistivity: 2500, law: "Delany-Bazley" }], chamber: { volume: "1 L" }, leak: "9e5 Pa s/m^3" },
    "front-loaded horn": { kind: "front-loaded horn", path: run, rearChamber: { volume: "6 L" }, throatChamber: { volume: "0.8 L" }, fill: [{ to: "20 cm", flowResistivity: 1000 }], mouthShape: "square" },
    "back-loaded horn": { kind: "back-loaded horn", path: run, chamber: { volume: "2.4 L" }, fill: [{ flowResistivity: 1000 }], mouthShape: { width: "26 cm" } },
    "tapped horn with chambers": { kind: "tapped horn", path: run, frontTap: "9 cm", backTap: "1.8 m", frontChamber: { volume: "0.5 L" }, backChamber: { volume: "0.7 L", leak: 9e5 }, fill: [{ to: "9 cm", flowResistivity: 8000 }], mouthShape: "unflanged" },
    "tapped pipe": { kind: "tapped pipe", area: "110 cm^2", length: "1.9 m", depth: "90 mm", wallLoss: true, frontTap: "10 cm", backTap: "1.75 m", leak: { slot: gap }, mouthShape: { height: "9 cm" } },
    "open baffle": { kind: "open baffle", baffle: { width: "50 cm", height: "90 cm", fromLeft: "20 cm", fromBottom: "60 cm" }, frame: { depth: "20 cm", area: "900 cm^2", openingShape: { width: "30 cm", height: "30 cm" } } },
    "round baffle": { kind: "open baffle", baffle: { diameter: "60 cm" } },
    "own network with three drivers": {
      kind: "own network",
      drivers: [
        { name: "low", front: "outside", back: "box" },
        { name: "high", driver: { name: "invented 100 mm", Re: 3.6, Sd: "55 cm^2", Mms: "6.5 g", Cms: "0.8 mm/N", Rms: 0.55, Bl: 5.4, coil: { K: 0.02, n: 0.7 } }, front: "inside", back: "box" },
        { name: "third", front: "outside", back: "box" },
      ],
      wiring: { parallel: ["low", { series: [{ reversed: "high" }, "third"] }] },
      elements: [
        { kind: "volume", node: "box", volume: "20 L", fill },
        { kind: "port", name: "port", from: "box", diameter: "60 mm", length: "120 mm", innerEnd: "flush", wallLoss: false, count: 2, rounding: "5 mm", resistance: 10 },
        { kind: "port", name: "slot", from: "inside", to: "box", slot: { width: "50 mm", height: "20 mm" }, length: "80 mm" },
        { kind: "membrane", name: "radiator", from: "box", to: "skin", Sd: "133 cm^2", fs: "25 Hz", Vas: "20 L", Qms: 8, addedMass: "30 g" },
        { kind: "opening", name: "skin", node: "skin", area: "133 cm^2", cone: true },
        { kind: "duct", from: "inside", to: "mouth", path: run },
        { kind: "duct", from: "mouth", to: "end", length: "40 cm", areaStart: "260 cm^2", areaEnd: "300 cm^2", flare: "hyperbolic", shape: 0.6, fill },
        { kind: "opening", name: "end", node: "end", area: "300 cm^2", openingShape: { width: "20 cm", height: "15 cm" } },
        { kind: "leak", name: "gap", node: "box", slot: gap },
        { kind: "opening", name: "cones", node: "outside", area: "176 cm^2", cone: true },
      ],
    },
  };
}
