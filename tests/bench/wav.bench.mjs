// Time to read and to write two minutes of a stereo WAV file, 96 kHz and 24 bits, with levels and clipping, beside a plain loop over Buffer.readIntLE
// (the baseline). Prints times, ratios and the machine; asserts nothing about time. Run: npm run bench
import { createRequire } from "node:module";
import { cpus } from "node:os";

const require = createRequire(import.meta.url);
const built = "../../kernel-helpers/dist/src/measure/";
const { parseWav } = require(`${built}wav-read.js`);
const { writeWav } = require(`${built}wav-write.js`);

const rate = 96000, frames = 120 * rate;
const channels = [0.5, 0.3].map((size, c) => Float32Array.from({ length: frames }, (_, i) => size * Math.sin(i * i * (c + 1) * 1e-9)));

/** Best processor time of three rounds, s: other processes on the machine do not count. */
function best(work) {
  let least = Infinity, result;
  for (let round = 0; round < 3; round++) {
    const start = process.cpuUsage();
    result = work();
    const { user, system } = process.cpuUsage(start);
    least = Math.min(least, (user + system) / 1e6);
  }
  return { seconds: least, result };
}

const written = best(() => writeWav({ channels, sampleRate: rate, bits: 24 }));
const bytes = written.result;
const read = best(() => parseWav(bytes, { file: "bench.wav" }));
const plain = best(() => {
  const buffer = Buffer.from(bytes.buffer), start = bytes.length - 6 * frames, out = [new Float32Array(frames), new Float32Array(frames)];
  for (let i = 0; i < frames; i++) for (let c = 0; c < 2; c++) out[c][i] = buffer.readIntLE(start + 6 * i + 3 * c, 3) / 2 ** 23;
  return out;
});
plain.result.forEach((samples, c) => {
  for (let i = 0; i < frames; i += 997) if (samples[i] !== read.result.channels[c][i]) throw new Error(`sample ${i} of channel ${c + 1} differs`);
});

console.log(`machine: ${cpus().length} x ${cpus()[0]?.model ?? "unknown"}, node ${process.version}`);
console.log(`file: ${(bytes.length / 1e6).toFixed(0)} MB, 2 min, 2 channels, 96 kHz, 24 bits`);
console.log(`read, with levels and clipping: ${read.seconds.toFixed(3)} s, ${(read.seconds / plain.seconds).toFixed(2)} of the plain loop without them (${plain.seconds.toFixed(3)} s); ten minutes: ${(5 * read.seconds).toFixed(2)} s`);
console.log(`write: ${written.seconds.toFixed(3)} s`);
