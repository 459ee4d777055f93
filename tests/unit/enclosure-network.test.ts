import { describe, expect, it, test } from "vitest";
import { designFromJson, designToJson } from "../../kernel-helpers/words/design-json.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { closedBox } from "../../kernel-helpers/words/enclosures.js";
import { hotDriver } from "../../kernel-helpers/words/hot-driver.js";
import { ownNetwork } from "../../kernel-helpers/words/network.js";
import { path } from "../../kernel-helpers/words/path.js";
import { predict } from "../../kernel-helpers/words/predict.js";
import { passiveRadiatorBox, ventedBox } from "../../kernel-helpers/words/enclosures.js";
import { InputError } from "../../src/errors.js";
import { buildOwnNetwork } from "../../src/enclosure/own-network.js";
import { terminalDriver } from "../../src/enclosure/terminals.js";
import { networkWithDriver } from "../../src/acoustics/network.js";

const sheet = { Re: 3.5, Le: "0.6 mH", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: 1.1, Bl: 6.3, impedance: 4 } as const;
const woofer = driver(sheet);
const box = { kind: "volume", node: "box", volume: "12 L" } as const;
const cone = { kind: "opening", name: "cone", node: "outside", area: "88 cm^2", cone: true } as const;
const single = { driver: woofer, front: "outside", back: "box" } as const;
const frequencies = "12:400:30";

function errorOf(run: () => unknown): InputError {
  try {
    run();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error("nothing was thrown");
}

/** Fails unless both designs are heard alike to 1e-9. */
function expectAlike(a: Parameters<typeof predict>[0], b: Parameters<typeof predict>[0], digits = 9): void {
  const p = predict(a, { frequencies }), q = predict(b, { frequencies });
  for (const key of ["level", "groupDelay", "excursionPeak"] as const) p[key].forEach((value, i) => expect(value).toBeCloseTo(q[key][i]!, digits));
  p.impedance.re.forEach((value, i) => expect(value).toBeCloseTo(q.impedance.re[i]!, digits));
}

describe("a network of one's own that hangs apart", () => {
  const table: readonly (readonly [what: string, elements: readonly unknown[], came: string, hint: string | undefined])[] = [
    ["an opening at a misspelt node", [box, cone, { kind: "duct", from: "box", to: "mouth", length: 1, areaStart: 0.01 }, { kind: "opening", name: "mouth", node: "mouht", area: 0.01 }], 'the opening "mouth" has no way to a driver', 'perhaps "mouth" is meant for "mouht"'],
    ["a volume of its own", [box, cone, { kind: "volume", node: "elsewhere", volume: 0.01 }], 'the volume at "elsewhere" has no way to a driver', undefined],
    ["an island of several parts", [box, cone, { kind: "duct", name: "lost", from: "x", to: "y", length: 1, areaStart: 0.01 }, { kind: "opening", name: "end", node: "y", area: 0.01 }], 'the duct "lost" has no way to a driver', undefined],
    ["a mass that ends at nothing", [box, cone, { kind: "mass", name: "neck", from: "box", to: "inner", mass: 20 }], 'the element "neck" ends at "inner", where nothing else is', undefined],
    ["a membrane before nothing", [box, cone, { kind: "membrane", from: "box", to: "skn", Sd: 0.01, fs: 20, Vas: 0.02, Qms: 5 }, { kind: "duct", from: "box", to: "skin", length: 1, areaStart: 0.01 }], 'the element "membrane from box to skn" ends at "skn", where nothing else is', 'perhaps "skin" is meant for "skn"'],
    ["a port into no chamber", [box, cone, { kind: "port", name: "port", from: "box", to: "bax", diameter: "60 mm", length: "10 cm" }], 'the element "port outer end" ends at "bax", where nothing else is', 'perhaps "box" is meant for "bax"'],
  ];
  it.each(table)("%s", (_what, elements, came, hint) => {
    const error = errorOf(() => ownNetwork({ ...single, elements: elements as never }));
    expect(error.where).toBe("ownNetwork");
    expect(error.came).toBe(came);
    expect(error.hint).toBe(hint);
  });

  it("is refused from src too, without a hint; closed ends of ducts are fine", () => {
    const volume = { kind: "volume", node: "box", volume: 0.01 } as const, face = { kind: "opening", name: "cone", node: "outside", area: 0.0088, load: { kind: "space" }, massInDriver: true } as const;
    const error = errorOf(() => buildOwnNetwork({ driver: woofer, network: networkWithDriver([volume, face, { kind: "volume", node: "b", volume: 1 }], woofer, "outside", "box") }));
    expect(error.came).toBe('the volume at "b" has no way to a driver');
    expect(error.hint).toBeUndefined();
    expect(() => ownNetwork({ ...single, elements: [box, cone, { kind: "duct", from: "box", to: "closed end", length: 1, areaStart: 0.01 }] })).not.toThrow();
  });

  it("has both ends of an element at different nodes", () => {
    for (const kind of [{ kind: "duct", length: 1, areaStart: 0.01 }, { kind: "mass", mass: 1 }, { kind: "resistance", resistance: 1 }]) {
      expect(errorOf(() => ownNetwork({ ...single, elements: [box, cone, { ...kind, from: "box", to: "box" } as never] })).message).toMatch(/two different nodes/);
    }
  });
});

describe("elements of a network of one's own", () => {
  it("port: as the port of a vented box; membrane: as a passive radiator", () => {
    const tube = { diameter: "60 mm", length: "120 mm", rounding: "10 mm", count: 2, innerEnd: "flush" } as const;
    expectAlike(ownNetwork({ ...single, elements: [cone, box, { kind: "port", name: "port", from: "box", ...tube }] }), ventedBox({ driver: woofer, volume: "12 L", port: tube }));
    const slot = { slot: { width: "120 mm", height: "25 mm", onWall: true }, length: "150 mm", resistance: 100 } as const;
    expectAlike(ownNetwork({ ...single, elements: [cone, box, { kind: "port", name: "port", from: "box", wallLoss: false, ...slot }] }), ventedBox({ driver: woofer, volume: "12 L", wallLoss: false, port: slot }));
    const radiator = { Sd: "133 cm^2", fs: "25 Hz", Vas: "20 L", Qms: 8, addedMass: "30 g" } as const;
    expectAlike(ownNetwork({ ...single, elements: [cone, box, { kind: "membrane", from: "box", to: "skin", ...radiator }, { kind: "opening", name: "skin", node: "skin", area: "133 cm^2", cone: true }] }), passiveRadiatorBox({ driver: woofer, volume: "12 L", radiator }));
  });

  it("duct: one by its path is one by its sizes, for every flare", () => {
    for (const [flare, shape] of [["conical", undefined], ["exponential", undefined], ["parabolic", undefined], ["catenoidal", undefined], ["hyperbolic", 0.6]] as const) {
      const sizes = { length: "1.1 m", areaStart: "60 cm^2", areaEnd: "210 cm^2", flare, ...(shape === undefined ? {} : { shape }), fill: { flowResistivity: 2000 } } as const;
      const way = path({ stations: [{ at: 0, area: "60 cm^2", flare, ...(shape === undefined ? {} : { shape }), fill: { flowResistivity: 2000 } }, { at: "1.1 m", area: "210 cm^2", flare: "uniform" }] });
      const mouth = { kind: "opening", name: "mouth", node: "mouth", area: "210 cm^2" } as const;
      expectAlike(ownNetwork({ ...single, elements: [cone, box, mouth, { kind: "duct", from: "box", to: "mouth", ...sizes }] }), ownNetwork({ ...single, elements: [cone, box, mouth, { kind: "duct", from: "box", to: "mouth", path: way }] }), 8);
    }
  });

  it("volume with fill: as the closed box with fill, and softer than without", () => {
    const fill = { flowResistivity: "3000 Pa s/m^2" } as const;
    expectAlike(ownNetwork({ ...single, elements: [cone, { ...box, fill }] }), closedBox({ driver: woofer, volume: "12 L", fill }));
    const deep = (design: Parameters<typeof predict>[0]): number => predict(design, { frequencies: [20, 40] }).excursionPeak[0]!;
    expect(deep(closedBox({ driver: woofer, volume: "12 L", fill }))).toBeGreaterThan(deep(closedBox({ driver: woofer, volume: "12 L" })));
  });
});

describe("several drivers in a network of one's own", () => {
  const two = [{ name: "left", front: "outside", back: "box" }, { name: "right", front: "box", back: "outside" }] as const;
  const elements = [{ ...cone, area: "176 cm^2" }, box] as const;

  it("one turned round and exchanged plays as push-pull in a closed box", () => {
    for (const wiring of ["parallel", "series"] as const) {
      const own = ownNetwork({ driver: woofer, drivers: two, wiring: { [wiring]: ["left", { reversed: "right" }] } as never, elements });
      expectAlike(own, closedBox({ driver: woofer, volume: "12 L", drivers: { count: 2, wiring, mounting: "push-pull" } }));
    }
    // not exchanged, they work against each other: less by more than 20 dB
    const against = ownNetwork({ driver: woofer, drivers: two, elements });
    const same = closedBox({ driver: woofer, volume: "12 L", drivers: { count: 2 } });
    expect(predict(against, { frequencies: [50] }).level[0]!).toBeLessThan(predict(same, { frequencies: [50] }).level[0]! - 20);
  });

  const table: readonly (readonly [what: string, options: object, where: string, message: RegExp])[] = [
    ["an unknown name in the wiring", { wiring: { series: ["left", "rigth"] } }, "ownNetwork.wiring.series[1]", /no driver is called "rigth".*perhaps "right" is meant/],
    ["an unknown name exchanged", { wiring: { series: ["left", { reversed: "rght" }] } }, "ownNetwork.wiring.series[1].reversed", /perhaps "right" is meant/],
    ["a driver that is not wired", { wiring: "left" }, "ownNetwork.wiring", /"right" is not wired/],
    ["a driver wired twice", { wiring: { parallel: ["left", "right", "left"] } }, "ownNetwork.wiring.parallel[2]", /"left" is wired twice/],
    ["a misspelt group", { wiring: { paralel: ["left", "right"] } }, "ownNetwork.wiring", /did you mean "parallel"\?/],
    ["two groups in one", { wiring: { parallel: ["left"], series: ["right"] } }, "ownNetwork.wiring", /both series and parallel/],
    ["an empty group", { wiring: { parallel: [] } }, "ownNetwork.wiring.parallel", /a list of drivers or groups is expected/],
    ["no group", { wiring: {} }, "ownNetwork.wiring", /an empty group/],
    ["a number", { wiring: 3 }, "ownNetwork.wiring", /the name of a driver/],
    ["a second driver of the same name", { drivers: [two[0], { ...two[1], name: "left" }] }, "ownNetwork.drivers[1].name", /a second driver "left"/],
    ["a misspelt field of a driver", { drivers: [{ ...two[0], frnt: "x" }] }, "ownNetwork.drivers[0]", /did you mean "front"\?/],
    ["nodes beside drivers", { front: "outside" }, "ownNetwork.front", /nodes are expected with each driver/],
    ["no drivers", { drivers: [] }, "ownNetwork.drivers", /an empty list/],
    ["drivers without any driver", { driver: undefined }, "ownNetwork.drivers[0].driver", /a driver is expected/],
  ];
  it.each(table)("refuses %s", (_what, options, where, message) => {
    const error = errorOf(() => ownNetwork({ driver: woofer, drivers: two, elements, ...options } as never));
    expect(error.where).toBe(where);
    expect(error.message).toMatch(message);
  });

  it("refuses a wiring of a single driver", () => {
    expect(errorOf(() => ownNetwork({ ...single, wiring: "driver", elements: [box, cone] })).where).toBe("ownNetwork.wiring");
  });

  it("takes a drive in watts into what stands at the terminals", () => {
    const drive = (design: Parameters<typeof predict>[0]): number => predict(design, { drive: "9 W", frequencies: [50] }).drive.voltage;
    expect(drive(closedBox({ driver: woofer, volume: "12 L" }))).toBeCloseTo(Math.sqrt(9 * 4), 12);
    expect(drive(closedBox({ driver: woofer, volume: "12 L", drivers: { count: 3, wiring: "series" } }))).toBeCloseTo(Math.sqrt(9 * 12), 12);
    expect(drive(closedBox({ driver: woofer, volume: "12 L", drivers: { count: 2 } }))).toBeCloseTo(Math.sqrt(9 * 2), 12);
    const other = driver({ ...sheet, impedance: 8 });
    const mixed = ownNetwork({ driver: woofer, drivers: [two[0], { ...two[1], driver: other }], elements });
    expect(terminalDriver(mixed).nominalImpedance).toBeCloseTo(8 / 3, 12);
    const { impedance: _, ...plain } = sheet;
    const unknown = ownNetwork({ driver: woofer, drivers: [two[0], { ...two[1], driver: driver(plain) }], elements });
    expect(errorOf(() => predict(unknown, { drive: "9 W" })).came).toContain("without nominal impedance");
  });
});

describe("the model of a voice coil", () => {
  it("changes the impedance as its formula says, and stays in a design file", () => {
    const { Le: _, ...plain } = sheet;
    const eddy = driver({ ...sheet, coil: { L2: "1.2 mH", R2: "8 ohm" } }), power = driver({ ...plain, coil: { K: 0.02, n: 0.65 } });
    const at = (woofer: ReturnType<typeof driver>): readonly [number, number] => {
      const p = predict(closedBox({ driver: woofer, volume: "12 L" }), { frequencies: [20, 5000] });
      return [p.impedance.re[1]!, p.impedance.im[1]!];
    };
    const w = 2 * Math.PI * 5000, bare = at(driver(plain));
    // R2 j w L2 / (R2 + j w L2), common practice; K (j w)^n, Vanderkooy 1989 and Leach 2002
    const x = w * 1.2e-3, q = 64 + x * x;
    expect(at(eddy)[0] - bare[0]).toBeCloseTo((8 * x * x) / q, 9);
    expect(at(eddy)[1] - bare[1]).toBeCloseTo(w * 6e-4 + (64 * x) / q, 9);
    expect(at(power)[0] - bare[0]).toBeCloseTo(0.02 * w ** 0.65 * Math.cos((0.65 * Math.PI) / 2), 9);
    expect(at(power)[1] - bare[1]).toBeCloseTo(0.02 * w ** 0.65 * Math.sin((0.65 * Math.PI) / 2), 9);
    for (const one of [eddy, power]) {
      const back = designFromJson(JSON.parse(JSON.stringify(designToJson(closedBox({ driver: one, volume: "12 L" }), {}))));
      expect(back.design.driver.coil).toEqual(one.coil);
      expect(one.views()[0]!.kind === "table" && JSON.stringify(one.views()[0])).toContain("coil");
    }
  });

  test.each([
    [{ L2: 0.001 }, "driver.coil"], [{ L2: 0.001, K: 1 }, "driver.coil"], [{ L2: 0.001, R2: 5, n: 0.5 }, "driver.coil"], [{}, "driver.coil"], [{ K: 0.02, n: 0.4 }, "driver.coil.n"], [{ K: 0.02, n: "120 %" }, "driver.coil.n"],
    [{ L2: "1 ohm", R2: 5 }, "driver.coil.L2"], [{ K: 0.02, n: 0.6 }, "driver.Le"], [{ L3: 1 }, "driver.coil"],
  ])("refuses %j", (coil, where) => {
    expect(errorOf(() => driver({ ...sheet, coil: coil as never })).where).toBe(where);
  });

  it("is kept when the coil is warm; Re grows by 0.393 % a kelvin (IEC 60028)", () => {
    const eddy = driver({ ...sheet, coil: { L2: "1.2 mH", R2: "8 ohm" } }), hot = hotDriver(eddy, { coilTemperature: 120 });
    expect(hot.Re).toBeCloseTo(3.5 * 1.393, 9);
    expect(hot.Qes / eddy.Qes).toBeCloseTo(1.393, 9);
    expect(hot.coil).toEqual(eddy.coil);
    const back = designFromJson(JSON.parse(JSON.stringify(designToJson(closedBox({ driver: hot, volume: "12 L" }), {}))));
    expect(back.design.driver.Re).toBe(hot.Re);
    expect(back.design.driver.Qts).toBe(hot.Qts);
    expect(errorOf(() => hotDriver(eddy, { coilTemperature: 900 })).message).toContain("-100 to 500");
    expect(errorOf(() => hotDriver(eddy, { coiltemperature: 90 } as never)).message).toContain('did you mean "coilTemperature"');
    expect(errorOf(() => hotDriver(eddy, {} as never)).where).toBe("hotDriver.coilTemperature");
  });
});
