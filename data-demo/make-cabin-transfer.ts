// Makes cabin-transfer.csv, an invented transfer of a camper van from its tail to the driver's head. Run after a build: node kernel-helpers/dist/data-demo/make-cabin-transfer.js
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { demoFolder } from "./demo-folder.js";
import { seededNoise } from "./field/seeded-noise.js";

/** Resonances chosen by hand: Hz, loss factor, product of the shapes at box and head. The first is lower and the others lie elsewhere than those of a rectangle of that volume. */
const resonances: readonly (readonly [number, number, number])[] = [
  [55, 0.13, -1.35], [96, 0.12, 0.7], [107, 0.11, -0.8], [121, 0.12, 0.9], [139, 0.12, -0.5], [152, 0.1, 0.75], [171, 0.1, -0.6], [188, 0.1, 0.5],
];

/** Air 1.2041 kg/m^3 and 343.2 m/s cancels down to the speed; volume, m^3; distance, m; corner of the leak, Hz. */
const speed = 343.2, volume = 6.1, distance = 2.1, leak = 7;

/** Level in dB of a small source in the van over the same in half space at the same distance; frequency in Hz. */
function levelAt(frequency: number): number {
  // cavity: rho c^2/V U/(j omega + 2 pi leak); each resonance j omega/(omega_n^2 - omega^2 + j eta omega_n omega); half space: j omega rho U/(2 pi r)
  const omega = 2 * Math.PI * frequency, bound = 2 * Math.PI * leak;
  let re = bound / (bound * bound + omega * omega), im = -omega / (bound * bound + omega * omega);
  for (const [own, loss, shape] of resonances) {
    const one = 2 * Math.PI * own, a = one * one - omega * omega, b = loss * one * omega, size = (shape * omega) / (a * a + b * b);
    re += size * b;
    im += size * a;
  }
  return 20 * Math.log10((Math.hypot(re, im) * speed * speed * 2 * Math.PI * distance) / (volume * omega));
}

/** The whole file: 12 to 220 Hz, 24 an octave, with 0.3 dB of noise (standard deviation, seed 71910), rounded to 0.1 dB. */
export function cabinTransferText(): string {
  const noise = seededNoise(71910), lines = [
    "# SYNTHETIC data: invented camper van, nothing was measured",
    "# maker: data-demo/make-cabin-transfer.ts, seed 71910; see README.md beside it",
    "# level at the driver's head for a box at the tail, re the same box in half space at the same distance of 2.1 m; no phase",
    "frequency (Hz),deviation from half space (dB)",
  ];
  for (let i = 0; i <= Math.floor(24 * Math.log2(220 / 12)); i++) {
    const frequency = 12 * 2 ** (i / 24);
    lines.push(`${frequency.toFixed(2)},${(levelAt(Number(frequency.toFixed(2))) + 0.3 * noise()).toFixed(1)}`);
  }
  return `${lines.join("\n")}\n`;
}

if (require.main === module) writeFileSync(join(demoFolder(), "cabin-transfer.csv"), cabinTransferText());
