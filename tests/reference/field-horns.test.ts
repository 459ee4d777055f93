import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import type { Flare } from "../../src/acoustics/network.js";
import { chainOf, type Complex, flowRatio, inputImpedance, piston, section } from "../support/ducts.js";
import { fieldCase, largestApart } from "../support/field-case.js";

// Source of every wanted value: finite elements, see field-README.md beside this file.

const rhoC = standardAir.density * standardAir.soundSpeed;

/** Largest deviations of one section from a case. */
function apart(name: string, horn: { readonly flare: Flare; readonly length: number; readonly throat: number; readonly mouth: number; readonly flow: number; readonly load: (f: number) => Complex }): { impedance: ReturnType<typeof largestApart>; flow: (upTo: number) => ReturnType<typeof largestApart> } {
  const { frequencies, values } = fieldCase(name);
  const chains = frequencies.map((f) => chainOf([section(horn.flare, horn.length, horn.throat, horn.mouth)], f));
  const impedance = chains.map((chain, i) => inputImpedance(chain, horn.load(frequencies[i]!)));
  const flow = chains.map((chain, i): Complex => {
    const r = flowRatio(chain, horn.load(frequencies[i]!));
    return [r[0] * horn.flow, r[1] * horn.flow];
  });
  return { impedance: largestApart(impedance, values("throat_impedance"), frequencies, 500), flow: (upTo) => largestApart(flow, values("volume_velocity_mouth"), frequencies, upTo) };
}

describe("horns whose waves are exactly one-dimensional", () => {
  test.each([
    ["field-sector-horn", "parabolic"],
    ["field-cone-axisymmetric", "conical"],
  ] as const)("%s as a %s flare: within 0.05 dB", (name, flare) => {
    const { geometry: g } = fieldCase(name).inputs;
    const area = (r: number): number => (g.kind === "sector" ? g.angle_rad * g.depth_m * r : 2 * Math.PI * (1 - Math.cos(g.half_angle_rad)) * r * r);
    const throat = area(g.r_throat_m), mouth = area(g.r_mouth_m);
    const { impedance, flow } = apart(name, { flare, length: g.r_mouth_m - g.r_throat_m, throat, mouth, flow: throat, load: () => [rhoC / mouth, 0] });
    console.log(`${name}: impedance ${impedance.decibels.toExponential(1)} dB, flow ${flow(500).decibels.toExponential(1)} dB, ${flow(500).degrees.toExponential(1)} degrees`);
    expect(Math.max(impedance.decibels, flow(500).decibels)).toBeLessThan(5e-5);
    expect(Math.max(impedance.degrees, flow(500).degrees)).toBeLessThan(5e-4);
  });
});

describe("horns with flat ends, where one-dimensional theory is an approximation", () => {
  const cases = [
    ["field-flat-horn-conical-plane-wave", "conical", "flat_areas"],
    ["field-flat-horn-conical-plane-wave", "conical", "cap_areas_and_slant_length"],
    ["field-flat-horn-exponential-baffle", "exponential", "flat_areas"],
  ] as const;
  test.each(cases)("%s, %s, %s: no worse than the theory itself", (name, flare, rule) => {
    const { geometry: g, terminations, checks } = fieldCase(name).inputs;
    const stated = checks.webster_against_field[rule];
    let throat: number = g.area_throat_m2, mouth: number = g.area_mouth_m2, length: number = g.length_m;
    if (rule === "cap_areas_and_slant_length") {
      // spherical caps through the rims, and the wall's own length between them
      const half = Math.atan((g.radius_mouth_m - g.radius_throat_m) / g.length_m), sine = Math.sin(half);
      const cap = (radius: number): number => 2 * Math.PI * (1 - Math.cos(half)) * (radius / sine) ** 2;
      length = (g.radius_mouth_m - g.radius_throat_m) / sine;
      throat = cap(g.radius_throat_m);
      mouth = cap(g.radius_mouth_m);
    }
    const load = (f: number): Complex => (terminations.mouth.kind === "plane_wave" ? [rhoC / g.area_mouth_m2, 0] : piston(f, g.area_mouth_m2));
    const { impedance, flow } = apart(name, { flare, length, throat, mouth, flow: g.area_throat_m2, load });
    console.log(`${name}, ${rule}: impedance ${impedance.decibels.toFixed(4)} dB (theory ${stated.throat_impedance_db.toFixed(4)}), flow ${flow(500).decibels.toFixed(4)} dB (theory ${stated.mouth_volume_velocity_db.toFixed(4)})`);
    const slack = 1.02; // caps and slant may be read a little differently
    expect(impedance.decibels).toBeLessThanOrEqual(stated.throat_impedance_db * slack);
    expect(flow(500).decibels).toBeLessThanOrEqual(stated.mouth_volume_velocity_db * slack);
    for (const [hertz, decibels] of Object.entries(stated.mouth_volume_velocity_db_below_hz)) expect(flow(Number(hertz)).decibels).toBeLessThanOrEqual((decibels as number) * slack + 1e-4);
  });
});
