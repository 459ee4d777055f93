import { standardAir } from "../../src/air/air.js";
import { fillConstants } from "../../src/acoustics/fill.js";
import { type LumpedElement, openingsOf } from "../../src/acoustics/network.js";
import { solveNetwork } from "../../src/acoustics/solve.js";
import type { Design } from "../../src/enclosure/design.js";
import { freeRadiation, type FreeSpace } from "../../src/space/free.js";

/** Electrical power in, what coils, suspensions, membranes, leaks and radiation take, and what filled volumes take, at each frequency, W. */
export function powersOf(design: Design, space: FreeSpace, frequencies: Float64Array): { readonly input: number[]; readonly spent: number[]; readonly inVolumes: number[] } {
  const { network } = design, n = frequencies.length;
  const openings = openingsOf(network), m = openings.length;
  const radiation = freeRadiation(space, openings, frequencies, standardAir);
  const s = solveNetwork(network, { voltage: 2.83, sourceResistance: 0 }, frequencies, standardAir, radiation);
  const input: number[] = [], spent: number[] = [], inVolumes: number[] = [], waves = new Float64Array(4);
  for (let f = 0; f < n; f++) {
    const square = (re: Float64Array, im: Float64Array, i: number): number => re[i * n + f]! ** 2 + im[i * n + f]! ** 2;
    let sum = 0;
    network.drivers.forEach(({ driver }, d) => {
      sum += driver.Re * square(s.coilCurrentRe, s.coilCurrentIm, d) + driver.Rms * square(s.velocityRe, s.velocityIm, d);
    });
    openings.forEach((opening, a) => {
      if (opening.load.kind === "space") {
        for (let b = 0; b < m; b++) {
          const z = (f * m + a) * m + b, ur = s.flowRe[a * n + f]!, ui = s.flowIm[a * n + f]!, vr = s.flowRe[b * n + f]!, vi = s.flowIm[b * n + f]!;
          sum += radiation.re[z]! * (ur * vr + ui * vi) - radiation.im[z]! * (ur * vi - ui * vr);
        }
      } else if (opening.load.kind === "series") sum += opening.load.resistance * square(s.flowRe, s.flowIm, a);
      // a membrane before its opening carries the flow of the opening
      const membrane = network.elements.find((e): e is LumpedElement => e.kind === "lumped" && e.compliance !== undefined && e.to === opening.node);
      if (membrane !== undefined) sum += membrane.resistance * square(s.flowRe, s.flowIm, a);
    });
    input.push(2.83 * s.currentRe[f]!);
    spent.push(sum);
    let filled = 0;
    for (const e of network.elements) {
      if (e.kind !== "volume" || e.fill === undefined) continue;
      fillConstants(2 * Math.PI * frequencies[f]!, standardAir, e.fill, waves, 0);
      const [kr, ki, zr, zi] = waves as unknown as [number, number, number, number];
      // Re(j V k / z) |p|^2
      filled -= ((e.volume * (ki * zr - kr * zi)) / (zr * zr + zi * zi)) * square(s.pressureRe, s.pressureIm, s.nodes.indexOf(e.node));
    }
    inVolumes.push(filled);
  }
  return { input, spent, inVolumes };
}
