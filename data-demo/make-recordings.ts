// Makes the invented recordings of the demo build and the impedance sweeps beside them (folder recordings). Run with the others: npm run demo-data; alone, after a build: node kernel-helpers/dist/data-demo/make-recordings.js
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { demoFolder } from "./demo-folder.js";
import { driverImpedance, impedanceText } from "./field/bench-sweeps.js";
import { calibratorRecording, leftOut, meadow, meadowRecording } from "./field/meadow.js";
import { playedSweepText } from "./field/played-sweep.js";
import { octaveSteps } from "./field/recording.js";
import { builtDriver, solveVanHorn, type VanHorn } from "./field/van-horn.js";
import { waveFile } from "./field/wave-file.js";

/** Seed of all noise in the recordings; each file has a stream of its own, this plus 1 to 6; no unit. */
export const recordingSeed = 71920;

/** Cell size (m) and length (s) of the runs: coarser than those of the four csv files, within 0.07 dB of them up to 125 Hz. */
export const recordingRun = { size: 0.008, duration: 0.7 } as const;

/** Mass that is put on the cone, kg, and its error as it was weighed (true over said); no unit. */
export const addedMass = { said: 0.01, trueOverSaid: 1.002 } as const;

const synthetic = "SYNTHETIC data: invented build, nothing was built, nothing was recorded";
const maker = `maker: data-demo/make-recordings.ts, seed ${recordingSeed}; see README.md above`;

/** Bytes of the files of the folder recordings by name, from the drawn box (SI). */
export function recordingFiles(horn: VanHorn, options: { readonly progress?: (part: number) => void } = {}): Map<string, Uint8Array> {
  const files = new Map<string, Uint8Array>(), bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
  const part = (from: number) => (done: number): void => options.progress?.(from + done / 2);
  const leaking = solveVanHorn(horn, { ...recordingRun, leak: leftOut.leak, progress: part(0) }), sealed = solveVanHorn(horn, { ...recordingRun, progress: part(0.5) });
  files.set("sweep.json", bytes(playedSweepText()));
  files.set("meadow-as-built.wav", waveFile(meadowRecording(leaking, { seed: recordingSeed + 1 }), meadow.rate));
  files.set("meadow-sealed.wav", waveFile(meadowRecording(sealed, { seed: recordingSeed + 2 }), meadow.rate));
  files.set("calibrator.wav", waveFile(calibratorRecording({ seed: recordingSeed + 3, seconds: 2 }), meadow.rate));

  const frequencies = octaveSteps({ from: 10, to: 1000, perOctave: 24 }), driver = builtDriver(horn.driver);
  const bench = (name: string, what: string, seed: number, mass: number): void => {
    files.set(name, bytes(impedanceText(driverImpedance(driver, frequencies, { addedMass: mass }), frequencies, { comments: [synthetic, maker, `${what}, with 0.03 ohm of lead`], seed })));
  };
  bench("driver-free-air.csv", "impedance of the driver in free air", recordingSeed + 4, 0);
  bench("driver-added-mass.csv", "impedance of the driver in free air with 10 g on its cone", recordingSeed + 5, addedMass.said * addedMass.trueOverSaid);
  const inBox = octaveSteps({ from: 10, to: 500, perOctave: 30 });
  files.set("impedance-as-built.csv", bytes(impedanceText(leaking.impedance(inBox), inBox, { comments: [synthetic, maker, "impedance at the terminals of the box as it was built first, with 0.03 ohm of lead"], seed: recordingSeed + 6 })));
  return files;
}

/** Writes the folder recordings into a folder, or compares it with what is there; gives the number of files that differ (no unit). */
export function makeRecordings(folder: string, options: { readonly check: boolean; readonly say: (line: string) => void; readonly progress?: (part: number) => void }): number {
  const horn = JSON.parse(readFileSync(join(demoFolder(), "van-horn-outline.json"), "utf8")) as VanHorn, into = join(folder, "recordings");
  let different = 0;
  if (!options.check) mkdirSync(into, { recursive: true });
  for (const [name, content] of recordingFiles(horn, { progress: options.progress })) {
    const target = join(into, name);
    if (!options.check) {
      writeFileSync(target, content);
      options.say(`demo-data: wrote recordings/${name}`);
      continue;
    }
    const same = sameBytes(content, target);
    options.say(`demo-data: recordings/${name} ${same ? "is the same" : "differs"}`);
    if (!same) different++;
  }
  return different;
}

function sameBytes(content: Uint8Array, file: string): boolean {
  try {
    return Buffer.compare(readFileSync(file), content) === 0;
  } catch {
    return false;
  }
}

if (require.main === module) makeRecordings(demoFolder(), { check: false, say: (line) => { process.stderr.write(`${line}\n`); } });
