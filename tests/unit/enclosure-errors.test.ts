import { describe, expect, it } from "vitest";
import type { EnclosureOptions } from "../../src/enclosure/assemble.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import { buildOpenBaffle } from "../../src/enclosure/open-baffle.js";
import { buildPassiveRadiatorBox } from "../../src/enclosure/passive-radiator.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { buildTappedPipe } from "../../src/enclosure/tapped-pipe.js";
import { buildTransmissionLine } from "../../src/enclosure/transmission-line.js";
import { buildVentedBox } from "../../src/enclosure/vented.js";
import { makePath } from "../../src/acoustics/path.js";
import { InputError } from "../../src/errors.js";
import { driverB } from "../support/drivers.js";

const base: EnclosureOptions = { driver: driverB };
const path = makePath({ stations: [{ at: 0, area: 0.01, flare: "conical" }, { at: 2, area: 0.03, flare: "uniform" }], crossSection: { kind: "round" }, wallLoss: true });
const fill = { flowResistivity: 3000, law: "Miki" } as const;
const radiator = { Sd: 0.02, fs: 20, Vas: 0.03, Qms: 6 };
const vented = (port: object): unknown => buildVentedBox({ ...base, volume: 0.03, port });

describe("builders of enclosures refuse, naming the field,", () => {
  const table: readonly (readonly [what: string, run: () => unknown, where: string])[] = [
    ["a chamber without volume", () => buildClosedBox({ ...base, volume: 0 }), "closedBox.volume"],
    ["an absorption below zero", () => buildClosedBox({ ...base, volume: 0.01, absorptionResistance: -1 }), "closedBox.absorption"],
    ["a leak of no resistance", () => buildClosedBox({ ...base, volume: 0.01, leakResistance: 0 }), "closedBox.leak"],
    ["half a driver", () => buildClosedBox({ ...base, volume: 0.01, drivers: { count: 1.5, wiring: "series", mounting: "same" } }), "closedBox.drivers.count"],
    ["a single driver push-pull", () => buildClosedBox({ ...base, volume: 0.01, drivers: { count: 1, wiring: "series", mounting: "push-pull" } }), "closedBox.drivers.mounting"],
    ["a load of no opening", () => buildClosedBox({ ...base, volume: 0.01, loads: { port: { kind: "release" } } }), "closedBox.loads"],
    ["a load of a leak", () => buildClosedBox({ ...base, volume: 0.01, leakResistance: 1e5, loads: { leak: { kind: "release" } } }), "closedBox.loads"],
    ["a port without cross-section", () => vented({ length: 0.1 }), "ventedBox.port"],
    ["a port that is round and a slot", () => vented({ area: 0.01, slot: { width: 0.1, height: 0.02 }, length: 0.1 }), "ventedBox.port"],
    ["a slot without height", () => vented({ slot: { width: 0.1, height: 0 }, length: 0.1 }), "ventedBox.port.slot.height"],
    ["a rounded slot", () => vented({ slot: { width: 0.1, height: 0.02 }, length: 0.1, rounding: 0.01 }), "ventedBox.port.rounding"],
    ["a rounding below zero", () => vented({ area: 0.003, length: 0.1, rounding: -0.01 }), "ventedBox.port.rounding"],
    ["a port shorter than its roundings", () => vented({ area: 0.003, length: 0.03, rounding: 0.02 }), "ventedBox.port.length"],
    ["a port longer than any", () => vented({ area: 0.003, length: 2000 }), "ventedBox.port.length"],
    ["a tuning that needs one longer than any", () => vented({ area: 0.003, tuning: 0.1 }), "ventedBox.port.tuning"],
    ["a tuning that the ends exceed", () => vented({ area: 0.003, rounding: 0.05, tuning: 200 }), "ventedBox.port.tuning"],
    ["seventeen ports", () => vented({ area: 0.003, length: 0.1, count: 17 }), "ventedBox.port.count"],
    ["a resistance below zero", () => vented({ area: 0.003, length: 0.1, resistance: -1 }), "ventedBox.port.resistance"],
    ["a mass with a length", () => vented({ mass: 50, length: 0.1 }), "ventedBox.port.length"],
    ["a mass of nothing", () => vented({ mass: 0 }), "ventedBox.port.mass"],
    ["a mass with an opening of no area", () => vented({ mass: 50, area: 0 }), "ventedBox.port.area"],
    ["a mass that radiates without area", () => vented({ mass: 50 }), "ventedBox"],
    ["a membrane of three of four", () => buildPassiveRadiatorBox({ ...base, volume: 0.03, radiator: { ...radiator, Mms: 0.05 } }), "passiveRadiatorBox.radiator"],
    ["a membrane by Cms and Vas", () => buildPassiveRadiatorBox({ ...base, volume: 0.03, radiator: { Sd: 0.02, Cms: 0.001, Vas: 0.03, Qms: 5 } }), "passiveRadiatorBox.radiator"],
    ["a membrane with two losses", () => buildPassiveRadiatorBox({ ...base, volume: 0.03, radiator: { ...radiator, Rms: 1 } }), "passiveRadiatorBox.radiator"],
    ["a membrane below zero", () => buildPassiveRadiatorBox({ ...base, volume: 0.03, radiator: { ...radiator, fs: -1 } }), "passiveRadiatorBox.radiator.fs"],
    ["no whole number of membranes", () => buildPassiveRadiatorBox({ ...base, volume: 0.03, radiator: { ...radiator, count: 0 } }), "passiveRadiatorBox.radiator.count"],
    ["a driver beyond the line", () => buildTransmissionLine({ ...base, path, driverAt: 2.1 }), "transmissionLine.driverAt"],
    ["fill beyond the line", () => buildTransmissionLine({ ...base, path, fill: [{ to: 2.5, ...fill }] }), "transmissionLine.fill[0]"],
    ["fill of no length", () => buildTransmissionLine({ ...base, path, fill: [{ from: 1, to: 1, ...fill }] }), "transmissionLine.fill[0]"],
    ["fill over fill", () => buildTransmissionLine({ ...base, path, fill: [{ to: 1, ...fill }, { from: 0.9, ...fill }] }), "transmissionLine.fill[1]"],
    ["two taps at one place", () => buildTappedHorn({ ...base, path, frontTap: 1, backTap: 1 }), "tappedHorn.backTap"],
    ["a chamber at a tap without volume", () => buildTappedHorn({ ...base, path, frontTap: 1, backTap: 0, backChamber: { volume: -1 } }), "tappedHorn.backChamber.volume"],
    ["a pipe without area", () => buildTappedPipe({ ...base, area: 0, length: 2, frontTap: 1, backTap: 0 }), "tappedPipe.area"],
    ["a tap beyond the pipe", () => buildTappedPipe({ ...base, area: 0.01, length: 2, frontTap: 3, backTap: 0 }), "tappedPipe.frontTap"],
    ["a baffle without width", () => buildOpenBaffle({ ...base, baffle: { width: 0, height: 1 } }), "openBaffle.baffle.width"],
    ["a driver beside the baffle", () => buildOpenBaffle({ ...base, baffle: { width: 0.5, height: 1, fromBottom: 1 } }), "openBaffle.baffle.fromBottom"],
    ["a frame without depth", () => buildOpenBaffle({ ...base, baffle: { diameter: 0.5 }, frame: { depth: 0, area: 0.1 } }), "openBaffle.frame.depth"],
    ["opposed drivers on a flat baffle", () => buildOpenBaffle({ ...base, baffle: { diameter: 0.5 }, drivers: { count: 2, wiring: "parallel", mounting: "opposed" } }), "openBaffle.drivers.mounting"],
  ];
  it.each(table)("%s", (_what, run, where) => {
    let thrown: unknown;
    try {
      run();
    } catch (error) {
      thrown = error;
    }
    expect(thrown).toBeInstanceOf(InputError);
    expect((thrown as InputError).where).toBe(where);
    expect((thrown as InputError).message).not.toMatch(/undefined|NaN|\[object/);
  });
});
