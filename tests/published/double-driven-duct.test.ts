import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { openingsOf } from "../../src/acoustics/network.js";
import { makePath } from "../../src/acoustics/path.js";
import { solveNetwork } from "../../src/acoustics/solve.js";
import type { Driver } from "../../src/driver/parameters.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { freeRadiation, freeSpace } from "../../src/space/free.js";
import { expectComplexClose } from "../support/close.js";
import { over, type Complex } from "../support/ducts.js";
import { physicalDriver } from "../support/drivers.js";

const air = standardAir;
const Sd = 0.0088;
const cone: Driver = physicalDriver("cone (invented)", { Mms: 0.013, Cms: 0.0006, Rms: 1.1, Bl: 6.3, Re: 3.5, Sd });

describe("tapped horn: exponential 120 to 600 cm^2, 2.2 m, taps at 0.15 m and 2.00 m, piston in a wall at the mouth", () => {
  // load on the driver Z = G11 - 2 G12 + G22 in Pa s/m^3 and mouth flow per cone flow, lossless
  const source = "Webster's equation by shooting, two independent solutions agreeing to 2e-12: G(x, x') = p_c(x<) p_m(x>) / D";
  const rows: readonly (readonly [number, Complex, Complex])[] = [
    [25, [1.88838, 17168.1], [0.370341, -0.000458597]], [40, [145.606, 45554.3], [2.03346, -0.0183319]], [60, [1918.2, -29357.2], [-4.92496, -0.0938872]],
    [100, [4817.24, 62523.0], [-4.69696, 0.159751]], [180, [3417.61, 5363.98], [2.18209, -0.437914]],
  ];
  const path = makePath({ wallLoss: false, crossSection: { kind: "round" }, stations: [{ at: 0, area: 0.012, flare: "exponential" }, { at: 2.2, area: 0.06, flare: "exponential" }] });
  const frequencies = Float64Array.from(rows, (r) => r[0]);
  for (const [frontTap, backTap, sign] of [[0.15, 2, 1], [2, 0.15, -1]] as const) {
    const { network } = buildTappedHorn({ driver: cone, path, frontTap, backTap });
    const s = solveNetwork(network, { voltage: 2, sourceResistance: 0 }, frequencies, air, freeRadiation(freeSpace("half"), openingsOf(network), frequencies, air));
    const n = rows.length;
    test.each(rows.map((r, i) => [r[0], i] as const))(`front tap at ${frontTap} m, %f Hz`, (_f, i) => {
      const front = s.nodes.indexOf("front tap") * n + i, back = s.nodes.indexOf("back tap") * n + i;
      const u: Complex = [s.velocityRe[i]! * Sd, s.velocityIm[i]! * Sd];
      const load = over([s.pressureRe[front]! - s.pressureRe[back]!, s.pressureIm[front]! - s.pressureIm[back]!], u);
      expectComplexClose(load, rows[i]![1], 2e-5, source);
      const mouth = over([s.flowRe[i]!, s.flowIm[i]!], u);
      expectComplexClose([mouth[0] * sign, mouth[1] * sign], rows[i]![2], 2e-5, source);
    });
  }
});

describe("uniform duct 200 cm^2, 2.0 m, no pressure at its end, taps at 0.3 m and 1.5 m", () => {
  const source = "elementary: U_M / U_d = [cos k x1 - cos k x2] / cos kL";
  test.each([[20, 0.189671], [35, 1.43388], [60, -1.74573], [90, -1.68396], [140, 3.68503]])("%f Hz", (f, wanted) => {
    const path = makePath({ wallLoss: false, crossSection: { kind: "round" }, stations: [{ at: 0, area: 0.02, flare: "uniform" }, { at: 2, area: 0.02, flare: "uniform" }] });
    const built = buildTappedHorn({ driver: cone, path, frontTap: 0.3, backTap: 1.5 }).network;
    const network = { ...built, elements: built.elements.map((e) => (e.kind === "opening" ? { ...e, load: { kind: "release" } as const } : e)) };
    const none = { re: new Float64Array(1), im: new Float64Array(1) };
    const s = solveNetwork(network, { voltage: 2, sourceResistance: 0 }, Float64Array.of(f), air, none);
    const ratio = over([s.flowRe[0]!, s.flowIm[0]!], [s.velocityRe[0]! * Sd, s.velocityIm[0]! * Sd]);
    expectComplexClose(ratio, [wanted, 0], 1e-5, source);
  });
});

test("a tap outside the path, or two taps at one place, are refused", () => {
  const path = makePath({ wallLoss: true, crossSection: { kind: "round" }, stations: [{ at: 0, area: 0.02, flare: "conical" }, { at: 2, area: 0.03, flare: "conical" }] });
  expect(() => buildTappedHorn({ driver: cone, path, frontTap: 0.1, backTap: 2.5 })).toThrow(/tappedHorn.backTap: 2.5 m; a place on the path/);
  expect(() => buildTappedHorn({ driver: cone, path, frontTap: 1, backTap: 1 })).toThrow(/two different places/);
});
