import { describe, expect, test } from "vitest";
import { standardAir as air } from "../../src/air/air.js";
import { type NetworkElement, openingsOf } from "../../src/acoustics/network.js";
import { isBareLeak } from "../../src/acoustics/leak.js";
import { solveNetwork } from "../../src/acoustics/solve.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import { leakOpening } from "../../src/enclosure/chamber.js";
import { coneLoads } from "../../src/predict/cone-load.js";
import { predictDesign } from "../../src/predict/predict.js";
import { makeCabin } from "../../src/space/cabin.js";
import { freeSpace } from "../../src/space/free.js";
import { type Point, spaceRadiation, spaceTransfer } from "../../src/space/space.js";
import { expectClose, expectComplexClose } from "../support/close.js";
import { driverA } from "../support/drivers.js";

const box: Point = [0.4, 0.4, 0.3], listener: Point = [1.6, 0.5, 0.9];
const cabin = makeCabin({ size: [2.4, 1.4, 3.7 / (2.4 * 1.4)], box, listener, lossFactor: 0.1 });
const drive = { voltage: 1, sourceResistance: 0 };
const cone: NetworkElement = { kind: "opening", name: "cone", node: "front", area: driverA.Sd, load: { kind: "space" }, massInDriver: true };

const tight = 2e5;

/** Pressure in front over the flow of the cone, and flow of the leak over that of the cone. */
function solved(leak: readonly NetworkElement[], volume: number, f: Float64Array): { readonly front: number; readonly flow: number } {
  const network = { elements: [cone, { kind: "volume", node: "box", volume } as const, ...leak], drivers: [{ name: "driver", driver: driverA, front: "front", back: "box" }], wiring: { kind: "driver", name: "driver" } } as const;
  const openings = openingsOf(network), s = solveNetwork(network, drive, f, air, spaceRadiation(cabin, openings, f, air));
  const front = s.nodes.indexOf("front"), size = (re: Float64Array, im: Float64Array, at: number): number => Math.hypot(re[at]!, im[at]!);
  return { front: size(s.pressureRe, s.pressureIm, front) / size(s.flowRe, s.flowIm, 0), flow: size(s.flowRe, s.flowIm, 1) / size(s.flowRe, s.flowIm, 0) };
}

describe("a leak given as a resistance", () => {
  const bare = (resistance: number): readonly NetworkElement[] => [leakOpening("test.leak", "box", resistance)];
  const ended = (resistance: number): readonly NetworkElement[] => [
    { kind: "lumped", name: "leak", from: "box", to: "outside", mass: 0, resistance },
    { kind: "opening", name: "hole", node: "outside", area: 1e-3, load: { kind: "space" }, massInDriver: false },
  ];

  test("loads a closed cabin with the cone, as the same resistance that ends in an opening of 10 cm^2", () => {
    // 2 %: the hole has a width of its own, so that it stands 18 mm further from the cone
    // the second box is as large as a boot, so that what comes back from the cabin counts in its leak
    for (const [resistance, volume, x] of [[tight, 0.012, 0.5], [tight, 0.012, 2], [tight, 0.012, 10], [tight, 0.012, 40], [2e4, 1, 1], [2e4, 1, 2], [2e4, 1, 5]] as const) {
      const f = Float64Array.of(x), leak = bare(resistance), hole = ended(resistance), a = solved(leak, volume, f), b = solved(hole, volume, f);
      expectClose(a.front, b.front, 0.02, "the same circuit, but for the air in front of the hole");
      expectClose(a.flow, b.flow, 0.02, "the same circuit, but for the air in front of the hole");
    }
  });

  test("lets the pressure of the cabin back into the box: at the lowest frequencies the cone alone no longer presses the cabin", () => {
    const sealed = buildClosedBox({ driver: driverA, volume: 0.012 }), leaking = buildClosedBox({ driver: driverA, volume: 0.012, leakResistance: tight });
    const at = (design: typeof sealed): number => {
      const load = coneLoads(predictDesign(design, { drive, space: cabin, distance: 1, frequencies: Float64Array.of(2) }))[0]!;
      return Math.hypot(load.frontRe[0]!, load.frontIm[0]!);
    };
    // rho c^2 / (w V) = 3050 Pa s/m^3 for all flow into 3.7 m^3; what leaves the cone comes back through the leak, but for what fills the box
    expectClose(at(sealed), 3050, 0.02, "compliance of the air in a cabin, Beranek & Mellow, Acoustics, 2012, chapter 4");
    expect(at(leaking)).toBeLessThan(0.3 * at(sealed));
  });

  test("hears and is heard by the same way: its mutual impedance is the transfer", () => {
    const leak = leakOpening("test.leak", "box", tight) as Extract<NetworkElement, { readonly kind: "opening" }>, ear = { ...leak, name: "ear" };
    expect(isBareLeak(leak)).toBe(true);
    const f = Float64Array.of(20, 70), space = makeCabin({ size: [2.4, 1.4, 1.1], box, listener, places: { leak: box, ear: listener } });
    const z = spaceRadiation(space, [leak, ear], f, air), h = spaceTransfer(space, [leak], 1, f, air), way = Math.hypot(...box.map((x, a) => x - listener[a]!));
    f.forEach((x, i) => {
      const angle = (2 * Math.PI * x * way) / air.soundSpeed, c = Math.cos(angle), s = Math.sin(angle);
      expectComplexClose([h.re[i]! * c + h.im[i]! * s, h.im[i]! * c - h.re[i]! * s], [z.re[4 * i + 1]!, z.im[4 * i + 1]!], 1e-3, "reciprocity");
    });
  });

  test("in free space without places it stays a resistance", () => {
    const openings = openingsOf({ elements: [cone, ...bare(tight)], drivers: [], wiring: { kind: "driver", name: "" } });
    const z = spaceRadiation(freeSpace("half"), openings, Float64Array.of(50), air);
    expect([z.re[1], z.im[1], z.re[3], z.im[3]]).toEqual([0, 0, 0, 0]);
  });

  test("another opening with a load of its own is left alone", () => {
    const own = { ...cone, load: { kind: "series", mass: 1, resistance: 5 } } as Extract<NetworkElement, { readonly kind: "opening" }>;
    expect(isBareLeak(own)).toBe(false);
    const z = spaceRadiation(cabin, [own], Float64Array.of(50), air);
    expect([z.re[0], z.im[0]]).toEqual([0, 0]);
  });
});
