import { demoDrive, demoSeed, microphoneDeviation, nearTransfer, octaveSteps, recorded, sum, yard, yardTransfer } from "./recording.js";
import { seededNoise } from "./seeded-noise.js";
import { levels, phaseDegrees, product } from "./spectrum.js";
import { tableText } from "./tables.js";
import { solveVanHorn, type VanHorn, type VanHornField } from "./van-horn.js";

/** Cell size (m) and length of the run (s) of the committed files. */
export const demoRun = { size: 0.004, duration: 0.7 } as const;

const maker = `maker: data-demo/make-demo-data.ts, seed ${demoSeed}; see README.md beside it`;
const synthetic = "SYNTHETIC data: invented build, nothing was built, nothing was recorded";
const drive = `drive: ${demoDrive.volts} V RMS as set on the amplifier; level in dB re 20 uPa, RMS; phase of e^(+j omega t), wrapped`;

/** Texts of the four demo files by file name, from the drawn box (SI); `progress` gets the part done, 0 to 1. */
export function demoFiles(horn: VanHorn, options: { progress?: (part: number) => void } = {}): { files: Map<string, string>; field: VanHornField } {
  const field = solveVanHorn(horn, { ...demoRun, progress: options.progress });
  const files = new Map<string, string>();
  const header = (open: string, close: string): string[] => ["frequency", "level", "phase"].map((name, i) => `${name} ${open}${["Hz", "dB", "degrees"][i]!}${close}`);

  const yardF = octaveSteps({ from: 16, to: 500, perOctave: 96 }), out = field.flowPerVolt(yardF);
  const inYard = recorded(product(sum(out.mouth, out.leak), yardTransfer(yardF)), yardF, { stream: 1, noiseLevel: 42, noiseFall: 9, delay: yard.delay, drift: true });
  files.set("yard-1m.csv", tableText({
    comments: [
      synthetic, maker, drive,
      "place: invented farmyard in front of the camper van; box on hard ground, mouth at ground level; microphone on the ground, 1,00 m before the mouth",
      `microphone not corrected (microphone.csv); phase contains the way of 1,00 m and ${String(yard.delay * 1000).replace(".", ",")} ms of the recorder`,
    ],
    header: header("[", "]"), columns: [yardF, levels(inYard), phaseDegrees(inYard)], decimals: [3, 2, 2], separator: ";", decimal: ",", lineEnd: "\r\n",
  }));

  const nearF = octaveSteps({ from: 20, to: 500, perOctave: 24 }), mouth = field.flowPerVolt(nearF).mouth;
  const near = recorded(product(mouth, nearTransfer(nearF, { area: field.mouthArea, distance: 0.03 })), nearF, { stream: 2, noiseLevel: 50, noiseFall: 9, delay: 0, drift: false });
  files.set("near-mouth.csv", tableText({
    comments: [synthetic, maker, drive, "place: microphone 30 mm before the middle of the mouth; mouth taken as a circular piston in a wall; microphone not corrected (microphone.csv)"],
    header: header("(", ")"), columns: [nearF, levels(near), phaseDegrees(near)], decimals: [3, 2, 2],
  }));

  const coilF = octaveSteps({ from: 10, to: 500, perOctave: 30 }), z = field.impedance(coilF), jitter = seededNoise(demoSeed + 3);
  const lead = 0.03;
  const size = z.re.map((re, i) => Math.hypot(re + lead, z.im[i]!) * (1 + 0.004 * jitter())), angle = z.re.map((re, i) => Math.atan2(z.im[i]!, re + lead) * 180 / Math.PI + 0.2 * jitter());
  files.set("impedance.csv", tableText({
    comments: [synthetic, maker, "impedance at the terminals of the finished box, with 0.03 ohm of lead"],
    header: ["frequency (Hz)", "impedance (ohm)", "phase (degrees)"], columns: [coilF, size, angle], decimals: [3, 4, 2],
  }));

  const points = Float64Array.of(10, 12.5, 16, 20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000), reading = seededNoise(demoSeed + 4);
  files.set("microphone.csv", tableText({
    comments: [synthetic, maker, "deviation of the invented microphone from flat, known to 0.05 dB: subtract it from a level that was read"],
    header: ["frequency (Hz)", "deviation (dB)"], columns: [points, points.map((f) => microphoneDeviation(f) + 0.05 * reading())], decimals: [1, 2],
  }));
  return { files, field };
}
