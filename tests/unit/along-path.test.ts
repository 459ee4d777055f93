import { describe, expect, test } from "vitest";
import { networkWithDriver, type NetworkElement } from "../../src/acoustics/network.js";
import { makePath } from "../../src/acoustics/path.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import { buildOwnNetwork } from "../../src/enclosure/own-network.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { buildVentedBox } from "../../src/enclosure/vented.js";
import { logGrid } from "../../src/math/log-grid.js";
import { alongPath } from "../../src/predict/along-path.js";
import { ductRuns } from "../../src/predict/duct-runs.js";
import { hear } from "../../src/predict/far-pressure.js";
import { panelPressure } from "../../src/predict/panel-pressure.js";
import { predictDesign, type Prediction } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";
import { expectClose, expectComplexClose } from "../support/close.js";
import { driverB } from "../support/drivers.js";

const situation = { drive: { voltage: 2.83, sourceResistance: 0 }, space: freeSpace("half"), distance: 1 };
const S = 0.01, L = 2.1, tap = 0.5, z0 = (1.2041 * 343.2) / S;

/** A lossless pipe, closed at one end, without pressure at the other, with a driver at a tap. */
function pipe(frequencies: Float64Array): Prediction {
  const duct = (name: string, from: string, to: string, length: number): NetworkElement => ({ kind: "duct", name, from, to, sections: [{ flare: "uniform", length, areaStart: S, areaEnd: S, walls: undefined }] });
  const elements: NetworkElement[] = [
    duct("open part", "mouth", "tap", L - tap), // drawn the other way round on purpose
    duct("stub", "closed end", "tap", tap),
    { kind: "opening", name: "mouth", node: "mouth", area: S, load: { kind: "release" }, massInDriver: false },
    { kind: "volume", node: "box", volume: 0.02 },
  ];
  return predictDesign(buildOwnNetwork({ driver: driverB, network: networkWithDriver(elements, driverB, "tap", "box") }), { ...situation, frequencies });
}

function tappedHorn(frequencies: Float64Array, wallLoss: boolean): Prediction {
  const path = makePath({
    stations: [{ at: 0, area: 0.007, flare: "conical" }, { at: 1.1, area: 0.015, flare: "exponential" }, { at: 1.1, area: 0.018, flare: "parabolic" }, { at: 2.4, area: 0.033, flare: "conical" }],
    crossSection: { kind: "rectangle", depth: 0.16 }, wallLoss,
  });
  return predictDesign(buildTappedHorn({ driver: driverB, path, frontTap: 0.09, backTap: 2.2 }), { ...situation, frequencies });
}

describe("along a path", () => {
  test("a closed and open pipe stands as cosine and sine", () => {
    const f = logGrid(15, 400, 30);
    const field = alongPath(pipe(f), { step: 0.05 }), n = f.length;
    expect(field.name).toBe("open part, stub");
    // the run goes from the mouth to the closed end; x is the distance from the closed end
    expect(field.marks).toEqual([{ name: "mouth", at: 0 }, { name: "tap", at: 1.6 }, { name: "closed end", at: 2.1 }]);
    const end = field.distance.length - 1;
    f.forEach((hz, i) => {
      const k = (2 * Math.PI * hz) / 343.2;
      const p0: [number, number] = [field.pressureRe[end * n + i]!, field.pressureIm[end * n + i]!];
      const u0 = [field.flowRe[i]!, field.flowIm[i]!] as const; // at the mouth
      field.distance.forEach((at, place) => {
        const x = L - at, p: [number, number] = [field.pressureRe[place * n + i]!, field.pressureIm[place * n + i]!], u: [number, number] = [field.flowRe[place * n + i]!, field.flowIm[place * n + i]!];
        const scale = Math.hypot(...p0), flowScale = Math.hypot(...u0);
        const inStub = at > 1.6 + 1e-9 || (Math.abs(at - 1.6) < 1e-9 && field.distance[place - 1]! > 1.6 - 1e-9);
        if (inStub) {
          // p = p0 cos kx; flow towards the closed end U = +j p0 / Z0 sin kx; Kinsler et al., Fundamentals of Acoustics, chapter 10
          expect(Math.hypot(p[0] - p0[0] * Math.cos(k * x), p[1] - p0[1] * Math.cos(k * x)) / scale, `p ${hz} Hz ${at} m`).toBeLessThan(1e-9);
          expect((Math.hypot(u[0] + (p0[1] / z0) * Math.sin(k * x), u[1] - (p0[0] / z0) * Math.sin(k * x)) * z0) / scale, `U ${hz} Hz ${at} m`).toBeLessThan(1e-9);
        } else {
          // p = -j Z0 U0 sin k(at), U = U0 cos k(at)
          const s = Math.sin(k * at), c = Math.cos(k * at);
          expect(Math.hypot(p[0] - z0 * u0[1] * s, p[1] + z0 * u0[0] * s) / (z0 * flowScale), `p ${hz} Hz ${at} m`).toBeLessThan(1e-9);
          expect(Math.hypot(u[0] - u0[0] * c, u[1] - u0[1] * c) / flowScale, `U ${hz} Hz ${at} m`).toBeLessThan(1e-9);
        }
      });
    });
  });

  test("half a wavelength without loss has its flow too", () => {
    const half = 343.2 / (2 * tap); // the stub is half a wavelength long
    const field = alongPath(pipe(Float64Array.of(half)), { step: 0.02 });
    const end = field.distance.length - 1;
    const p0 = Math.hypot(field.pressureRe[end]!, field.pressureIm[end]!);
    const quarter = field.distance.findIndex((at) => Math.abs(at - 1.84) < 1e-6);
    const x = L - field.distance[quarter]!;
    expectClose(Math.hypot(field.flowRe[quarter]!, field.flowIm[quarter]!), (p0 / z0) * Math.sin((2 * Math.PI * half * x) / 343.2), 1e-6, "standing wave, Kinsler et al.");
  });

  test("half a wavelength without loss into a chamber, where the pressures at both ends say nothing of the flow", () => {
    const half = Float64Array.of(343.2 / 2, 343.2 / 1.999);
    const elements: NetworkElement[] = [
      { kind: "duct", name: "pipe", from: "front", to: "far chamber", sections: [{ flare: "uniform", length: 1, areaStart: S, areaEnd: S, walls: undefined }] },
      { kind: "volume", node: "far chamber", volume: 0.003 }, { kind: "volume", node: "box", volume: 0.02 },
      { kind: "opening", name: "hole", node: "front", area: 0.001, load: { kind: "series", mass: 20, resistance: 100 }, massInDriver: false },
    ];
    const field = alongPath(predictDesign(buildOwnNetwork({ driver: driverB, network: networkWithDriver(elements, driverB, "front", "box") }), { ...situation, frequencies: half }), { step: 0.1 });
    const end = field.distance.length - 1;
    half.forEach((hz, i) => {
      // U = j w V / (rho c^2) p, compliance of the chamber, Small 1972
      const c = (2 * Math.PI * hz * 0.003) / (1.2041 * 343.2 ** 2), p = [field.pressureRe[end * 2 + i]!, field.pressureIm[end * 2 + i]!] as const;
      expectComplexClose([field.flowRe[end * 2 + i]!, field.flowIm[end * 2 + i]!], [-c * p[1], c * p[0]], 1e-6, "compliance of a closed volume, Small 1972");
    });
  });

  test.each([[false, 1e-10], [true, 5e-5]])("joins at taps and steps and balances the flow, wall loss %s", (wallLoss, allowed) => {
    const f = logGrid(20, 500, 25), n = f.length;
    const prediction = tappedHorn(f, wallLoss);
    const field = alongPath(prediction), { solution } = hear(prediction, f);
    expect(field.marks.map((m) => m.name)).toEqual(["closed end", "front tap", "back tap", "mouth"]);
    const at = (name: string): number => field.marks.find((m) => m.name === name)!.at;
    const last = field.distance.length - 1;
    f.forEach((hz, i) => {
      const p = (place: number): [number, number] => [field.pressureRe[place * n + i]!, field.pressureIm[place * n + i]!];
      const u = (place: number): [number, number] => [field.flowRe[place * n + i]!, field.flowIm[place * n + i]!];
      let top = 0, topPressure = 0;
      for (let place = 0; place <= last; place++) {
        top = Math.max(top, Math.hypot(...u(place)));
        topPressure = Math.max(topPressure, Math.hypot(...p(place)));
      }
      // nothing flows through the closed end, and the mouth gives out what the solution says
      expect(Math.hypot(...u(0)) / top, `closed end, ${hz} Hz`).toBeLessThan(allowed);
      expect(Math.hypot(u(last)[0] - solution.flowRe[i]!, u(last)[1] - solution.flowIm[i]!) / top, `mouth, ${hz} Hz`).toBeLessThan(allowed);
      for (const [name, sign] of [["front tap", 1], ["back tap", -1]] as const) {
        const second = field.distance.findIndex((x, k) => k > 0 && Math.abs(x - at(name)) < 1e-9 && Math.abs(field.distance[k - 1]! - at(name)) < 1e-9);
        expect(second).toBeGreaterThan(0);
        const node = solution.nodes.indexOf(name);
        for (const place of [second, second - 1]) {
          const off = Math.hypot(p(place)[0] - solution.pressureRe[node * n + i]!, p(place)[1] - solution.pressureIm[node * n + i]!);
          expect(off / topPressure, `${name}, ${hz} Hz`).toBeLessThan(allowed);
        }
        // the cone adds Sd v at its front and takes it away at its back
        const jump = [u(second)[0] - u(second - 1)[0], u(second)[1] - u(second - 1)[1]] as const;
        const cone = [sign * driverB.Sd * solution.velocityRe[i]!, sign * driverB.Sd * solution.velocityIm[i]!] as const;
        expect(Math.hypot(jump[0] - cone[0], jump[1] - cone[1]) / top, `${name}, ${hz} Hz`).toBeLessThan(allowed);
      }
    });
    // a step in area is two places with the same pressure and flow
    const step = field.distance.findIndex((x, k) => k > 0 && x === field.distance[k - 1] && Math.abs(x - 1.1) < 1e-9);
    expect([field.area[step - 1]!, field.area[step]!].map((a) => Number(a.toFixed(6)))).toEqual([0.015, 0.018]);
    expect(field.pressureRe[step * n]).toBe(field.pressureRe[(step - 1) * n]);
  });

  test("parts of a design that has several ways", () => {
    const design = buildVentedBox({ driver: driverB, volume: 0.05, port: { area: 0.004, length: 0.15, count: 2 } });
    const runs = ductRuns(design.network);
    expect(runs.map((r) => r.name)).toEqual(["port 1", "port 2"]);
    const prediction = predictDesign(design, { ...situation, frequencies: logGrid(15, 200, 20) });
    expect(alongPath(prediction, { duct: "port 2" }).name).toBe("port 2");
    expect(() => alongPath(prediction, { duct: "port 3" })).toThrow(/one of "port 1", "port 2" is expected/);
  });

  test("a way starts where it has to, whichever duct is listed first and however it is drawn", () => {
    const duct = (name: string, from: string, to: string): NetworkElement => ({ kind: "duct", name, from, to, sections: [{ flare: "uniform", length: 1, areaStart: S, areaEnd: S, walls: undefined }] });
    const elements: NetworkElement[] = [duct("middle", "b", "c"), duct("last", "e", "c"), duct("first", "b", "a"), { kind: "lumped", name: "cloth", from: "e", to: "f", mass: 0, resistance: 50 }, duct("behind the cloth", "f", "g")];
    const [run, ...rest] = ductRuns(networkWithDriver(elements, driverB, "a", "g"));
    expect(rest).toEqual([]);
    expect(run!.parts.map((p) => [p.duct.name, p.reversed, p.start, p.end])).toEqual([["first", true, "a", "b"], ["middle", false, "b", "c"], ["last", true, "c", "e"], ["behind the cloth", false, "f", "g"]]);
    expect(run!.length).toBe(4);
  });

  test("refuses what has no duct, and places and frequencies that are none", () => {
    const box = predictDesign(buildClosedBox({ driver: driverB, volume: 0.03 }), { ...situation, frequencies: logGrid(20, 200, 10) });
    expect(() => alongPath(box)).toThrow(/alongPath: "closed box" \(closed box\) has no duct/);
    const horn = tappedHorn(logGrid(20, 200, 5), true);
    for (const step of [0, -1, NaN]) expect(() => alongPath(horn, { step })).toThrow(/alongPath.step/);
    expect(() => alongPath(horn, { step: 1e-6 })).toThrow(/at most 20000 places/);
    expect(() => alongPath(horn, { frequencies: Float64Array.of(50, 40) })).toThrow(/40 Hz at place 2/);
    expect(() => alongPath(horn, { frequencies: Float64Array.of() })).toThrow(/no frequency/);
  });
});

describe("pressure on the panels", () => {
  test("is the largest along the path, peak, and of the chamber", () => {
    const f = logGrid(15, 150, 60), prediction = pipe(f);
    const { ways, chambers } = panelPressure(prediction);
    const field = alongPath(prediction), n = f.length, end = field.distance.length - 1;
    let wanted = 0, at = 0;
    f.forEach((hz, i) => {
      const size = Math.SQRT2 * Math.hypot(field.pressureRe[end * n + i]!, field.pressureIm[end * n + i]!);
      if (size > wanted) [wanted, at] = [size, hz];
    });
    expect(ways).toHaveLength(1);
    expect(ways[0]!.peak[end]).toBe(wanted);
    expect(ways[0]!.frequency[end]).toBe(at);
    expect(ways[0]!.peak[0]!).toBeLessThan(1e-9 * wanted); // no pressure at the mouth
    expect(chambers.map((c) => c.name)).toEqual(["box"]);
    // the box is a spring: p = rho c^2 / V times Sd x; Small 1972
    const x = Math.max(...prediction.excursionPeak.map((peak, i) => (chambers[0]!.frequency === f[i] ? peak : 0)));
    expectClose(chambers[0]!.peak, (1.2041 * 343.2 ** 2 * driverB.Sd * x) / 0.02, 1e-9, "compliance of a closed volume, Small 1972");
  });
});
