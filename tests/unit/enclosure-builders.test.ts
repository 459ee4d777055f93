import { describe, expect, test } from "vitest";
import { openingsOf } from "../../src/acoustics/network.js";
import { predictDesign } from "../../src/predict/predict.js";
import { freeRadiation, freeSpace } from "../../src/space/free.js";
import { solveNetwork } from "../../src/acoustics/solve.js";
import { standardAir } from "../../src/air/air.js";
import { logGrid } from "../../src/math/log-grid.js";
import { fourthOrderBandPass, sixthOrderBandPass } from "../../kernel-helpers/words/band-pass.js";
import { designFromJson, designToJson } from "../../kernel-helpers/words/design-json.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { closedBox, passiveRadiatorBox, tappedHorn, ventedBox } from "../../kernel-helpers/words/enclosures.js";
import { backHorn, frontHorn, tappedPipe } from "../../kernel-helpers/words/horns.js";
import { openBaffle, transmissionLine } from "../../kernel-helpers/words/lines.js";
import { path } from "../../kernel-helpers/words/path.js";

const woofer = driver({ name: "demo 130 mm (invented)", Re: 3.5, Le: "0.6 mH", Bl: "6.3 T m", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Xmax: "6 mm", power: "60 W", impedance: "4 ohm" });
const run = path({ wallLoss: false, stations: [{ at: 0, area: "90 cm^2" }, { at: "1.9 m", area: "260 cm^2" }] });
const designs = [
  closedBox({ driver: woofer, volume: "12 L" }),
  ventedBox({ driver: woofer, volume: "17 L", wallLoss: false, port: { diameter: "60 mm", tuning: "45 Hz" } }),
  passiveRadiatorBox({ driver: woofer, volume: "14 L", radiator: { Sd: "133 cm^2", fs: "25 Hz", Vas: "20 L", Qms: 8, addedMass: "30 g" } }),
  fourthOrderBandPass({ driver: woofer, rear: { volume: "12 L" }, front: { volume: "9 L" }, port: { diameter: "70 mm", tuning: "62 Hz" } }),
  transmissionLine({ driver: woofer, path: run, driverAt: "35 cm" }),
  frontHorn({ driver: woofer, path: run, rearChamber: { volume: "6 L" }, throatChamber: { volume: "0.8 L" } }),
  backHorn({ driver: woofer, path: run, chamber: { volume: "2.4 L" } }),
  tappedHorn({ driver: woofer, path: run, frontTap: "9 cm", backTap: "1.8 m" }),
  tappedPipe({ driver: woofer, area: "110 cm^2", length: "1.9 m", frontTap: "10 cm", backTap: "1.75 m" }),
  openBaffle({ driver: woofer, baffle: { width: "50 cm", height: "90 cm", fromBottom: "60 cm" } }),
];
const frequencies = logGrid(12, 400, 40);

describe.each(designs.map((d) => [d.kind, d] as const))("%s", (_kind, design) => {
  test("gives finite results, and no more power comes out than goes in", () => {
    const p = predictDesign(design, { drive: { voltage: 2.83, sourceResistance: 0 }, space: freeSpace("half"), distance: 1, frequencies });
    for (const values of [p.level, p.phase, p.groupDelay, p.excursionPeak, p.impedance.re, p.impedance.im]) for (const v of values) expect(Number.isFinite(v)).toBe(true);
    const radiation = freeRadiation(freeSpace("half"), openingsOf(design.network), frequencies, standardAir);
    const s = solveNetwork(design.network, { voltage: 2.83, sourceResistance: 0 }, frequencies, standardAir, radiation);
    const n = frequencies.length, m = s.openings.length;
    for (let f = 0; f < n; f++) {
      let spent = 0;
      design.network.drivers.forEach(({ driver: d }, i) => {
        spent += d.Re * (s.coilCurrentRe[i * n + f]! ** 2 + s.coilCurrentIm[i * n + f]! ** 2) + d.Rms * (s.velocityRe[i * n + f]! ** 2 + s.velocityIm[i * n + f]! ** 2);
      });
      for (let a = 0; a < m; a++) {
        for (let b = 0; b < m; b++) {
          const z = (f * m + a) * m + b;
          const ur = s.flowRe[a * n + f]!, ui = s.flowIm[a * n + f]!, vr = s.flowRe[b * n + f]!, vi = s.flowIm[b * n + f]!;
          // Re(conj(U_a) Z_ab U_b)
          spent += radiation.re[z]! * (ur * vr + ui * vi) - radiation.im[z]! * (ur * vi - ui * vr);
        }
      }
      expect(2.83 * s.currentRe[f]!).toBeGreaterThan(spent * (1 - 1e-9));
    }
  });

  test("comes back from its design file with the same response", () => {
    const back = designFromJson(JSON.parse(JSON.stringify(designToJson(design, {}))));
    const options = { drive: { voltage: 2.83, sourceResistance: 0 }, space: freeSpace("half"), distance: 1, frequencies };
    expect([...predictDesign(back.design, options).level]).toEqual([...predictDesign(design, options).level]);
  });
});

test("a misspelt option of any of them is refused with the right one", () => {
  expect(() => fourthOrderBandPass({ driver: woofer, raer: { volume: "12 L" }, front: { volume: "9 L" }, port: { diameter: "70 mm", tuning: "62 Hz" } } as never)).toThrow(/did you mean "rear"/);
  expect(() => sixthOrderBandPass({ driver: woofer } as never)).toThrow(/sixthOrderBandPass/);
  expect(() => transmissionLine({ driver: woofer, path: run, drivreAt: "35 cm" } as never)).toThrow(/did you mean "driverAt"/);
});
