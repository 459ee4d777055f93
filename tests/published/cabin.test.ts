import { describe, expect, test } from "vitest";
import { standardAir as air } from "../../src/air/air.js";
import type { OpeningElement } from "../../src/acoustics/network.js";
import { leakCorner, makeCabin, type CabinOptions } from "../../src/space/cabin.js";
import { firstModes } from "../../src/space/space-notes.js";
import { spaceRadiation, spaceTransfer } from "../../src/space/space.js";
import { expectClose, expectComplexClose } from "../support/close.js";

const opening = (name: string, area: number): OpeningElement => ({ kind: "opening", name, node: name, area, load: { kind: "space" }, massInDriver: false });
const two = [opening("port", 0.004), opening("cone", 0.02)];
const options: CabinOptions = { size: [2.4, 1.4, 1.1], lossFactor: 0.1, box: [0.3, 0.4, 0.3], places: { port: [0.3, 0.7, 0.2] }, listener: [1.5, 0.4, 0.9] };
const stiffness = air.density * air.soundSpeed ** 2;

test("first ten modes of 2.4 m x 1.4 m x 1.1 m, Hz; those given stand in their place", () => {
  const wanted = [71.5, 122.571, 141.901, 143, 156, 171.605, 188.342, 198.393, 210.884, 211.625];
  firstModes(makeCabin(options), 10, air).forEach((mode, i) => expectClose(mode.frequency, wanted[i]!, 1e-5, "rigid box, Morse & Ingard, Theoretical Acoustics, 1968, section 9.4"));
  const known = makeCabin({ ...options, modes: [{ order: [1, 0, 0], frequency: 66 }] });
  expect(firstModes(known, 2, air)[0]!.frequency).toBe(66);
});

describe("far below the first mode", () => {
  const source = "pressure field of a sealed volume, rho c^2/(j w V)";
  test.each([undefined, 3.1])("all pairs and the listener feel the volume alone, volume %s m^3", (volume) => {
    const cabin = makeCabin({ ...options, ...(volume === undefined ? {} : { volume }) }), V = volume ?? 2.4 * 1.4 * 1.1;
    for (const f of [0.05, 0.5]) {
      const at = Float64Array.of(f), w = 2 * Math.PI * f;
      const z = spaceRadiation(cabin, two, at, air), h = spaceTransfer(cabin, two, 1, at, air);
      // each opening has its own mass besides
      for (let i = 0; i < 4; i++) expectClose(z.im[i]!, -stiffness / (w * V), f === 0.05 ? 5e-5 : 3e-3, source);
      for (let i = 0; i < 2; i++) expectComplexClose([h.re[i]!, h.im[i]!], [0, -stiffness / (w * V)], 0.03 * f + 1e-4, `${source}; travel time taken out`);
    }
  });

  test("a leak of 5000 Pa s/m^3 in 2.5 m^3 has its corner at 1.80579 Hz, where the pressure is 3.01 dB below the sealed one", () => {
    const size = [2.4, 1.4, 2.5 / (2.4 * 1.4)] as const, leaking = makeCabin({ ...options, size, listener: [1.5, 0.4, 0.5], leak: 5000 });
    const corner = leakCorner(leaking, air);
    expectClose(corner, 1.80579, 1e-5, "f = rho c^2/(2 pi R V)");
    for (const f of [0.1, corner, 3]) {
      const at = Float64Array.of(f), w = 2 * Math.PI * f, z = spaceRadiation(leaking, two, at, air);
      // R beside 1/(j w C)
      const wc = (w * 2.5) / stiffness, g = 1 / 5000, q = g * g + wc * wc;
      expectComplexClose([z.re[1]!, z.im[1]!], [g / q, -wc / q], 5e-3, "resistance beside a compliance, Beranek & Mellow 2012, chapter 4");
    }
    const z = spaceRadiation(leaking, two, Float64Array.of(corner), air);
    expectClose(20 * Math.log10((Math.hypot(z.re[1]!, z.im[1]!) * 2 * Math.PI * corner * 2.5) / stiffness), -3.0103, 5e-3, "first order corner; its own sound is 0.01 dB off the uniform pressure");
  });

  test("walls that give way add their compliance to that of the air, or their admittance", () => {
    const C = 2e-5, f = Float64Array.of(1), w = 2 * Math.PI, V = 2.4 * 1.4 * 1.1;
    const soft = spaceRadiation(makeCabin({ ...options, flex: { kind: "compliance", compliance: C, lossFactor: 0, sides: ["length", "width", "height"] } }), two, f, air);
    expectClose(soft.im[1]!, -1 / (w * (V / stiffness + C)), 1e-3, "compliances beside each other");
    const wall = spaceRadiation(makeCabin({ ...options, flex: { kind: "impedance", area: 8, resistance: 2e4, mass: 0, stiffness: 0, sides: ["length", "height"] } }), two, f, air);
    const wc = (w * V) / stiffness, g = 8 / 2e4, q = g * g + wc * wc;
    expectComplexClose([wall.re[1]!, wall.im[1]!], [g / q, -wc / q], 2e-3, "1/(j w V/(rho c^2) + area/z)");
  });
});

test("rises by 12 dB an octave over half space at 1 m below 86.6 Hz for 2.5 m^3: the two meet there", () => {
  const size = [2.4, 1.4, 2.5 / (2.4 * 1.4)] as const, cabin = makeCabin({ ...options, size, listener: [1.5, 0.4, 0.5] });
  for (const f of [2, 4]) {
    const h = spaceTransfer(cabin, [two[0]!], 1, Float64Array.of(f), air);
    const gain = 20 * Math.log10(Math.hypot(h.re[0]!, h.im[0]!) / (air.density * f));
    expectClose(gain, 40 * Math.log10(86.5939 / f), 0.01, "asymptotes rho c^2/(w V) and rho w/(2 pi r) meet at (c/2 pi) sqrt(2 pi r/V)", 0.1);
  }
});

test("a given mode has its resonance at the frequency that was given, its width by the loss factor", () => {
  const cabin = makeCabin({ ...options, lossFactor: 0.02, modes: [{ order: [1, 0, 0], frequency: 66 }], box: [0, 0.7, 0.55], places: {}, listener: [2.4, 0.7, 0.55] });
  const f = Float64Array.from({ length: 2001 }, (_, i) => 60 + i * 0.006), h = spaceTransfer(cabin, [opening("mouth", 1e-6)], 1, f, air);
  const size = f.map((_, i) => Math.hypot(h.re[i]!, h.im[i]!));
  const top = size.reduce((a, b) => Math.max(a, b)), at = size.indexOf(top);
  expectClose(f[at]!, 66, 1e-3, "as given");
  const inside = f.filter((_, i) => size[i]! > top / Math.SQRT2);
  expectClose((inside[inside.length - 1]! - inside[0]!) / 66, 0.02, 0.05, "half-power width of a mode with a loss factor");
});
