// Deconvolution of a 10-minute stereo recording at 96 kHz: one 9-minute sweep, and 27 sweeps of 20 s. Printed, never asserted.
// Needs the build: node node_modules/typescript/bin/tsc -p tsconfig.json
import { cpus, loadavg, totalmem } from "node:os";
import { createRequire } from "node:module";

const require = createRequire(import.meta.url), built = "../../kernel-helpers/dist/src/measure";
const { makeExponentialSweep } = require(`${built}/exponential-sweep.js`);
const { fillPeriod } = require(`${built}/test-signal.js`);
const { deconvolve } = require(`${built}/deconvolve.js`);

const rate = 96000, seconds = 600;
console.log(`${cpus()[0].model}, ${cpus().length} cores, ${(totalmem() / 2 ** 30).toFixed(0)} GB, node ${process.version}, load average ${loadavg()[0].toFixed(2)}`);
for (const [title, sweep] of [
  ["one sweep of 9 minutes", { from: 10, to: 20000, duration: 540, sampleRate: rate, silence: 30 }],
  ["27 sweeps of 20 s", { from: 10, to: 20000, duration: 20, repeats: 27, sampleRate: rate, silence: 2 }],
]) {
  for (const reference of [undefined, 2]) {
    const signal = makeExponentialSweep(sweep), channels = [0, 1].map(() => new Float32Array(rate * seconds)), piece = new Float64Array(1 << 20);
    const count = Math.ceil(sweep.duration * rate), lead = Math.round(0.8 * rate);
    for (const start of signal.layout.starts) {
      for (let at = 0; at < count; at += piece.length) {
        const part = piece.subarray(0, Math.min(piece.length, count - at));
        fillPeriod(signal, part, at);
        for (let n = 0; n < part.length && lead + start + at + n + 300 < channels[0].length; n++) {
          channels[1][lead + start + at + n] += 0.5 * part[n];
          channels[0][lead + start + at + n + 288] += 0.3 * part[n];
        }
      }
    }
    for (const channel of channels) for (let n = 0, state = 1; n < channel.length; n++) channel[n] += ((state = (state * 48271) % 2147483647) / 2147483647 - 0.5) * 1e-4; // Park and Miller 1988
    const before = process.cpuUsage(), from = performance.now();
    let most = 0;
    const steps = deconvolve({ name: title, sampleRate: rate, channels, notes: [] }, signal, { reference });
    let next = steps.next(), parts = "", last = "";
    for (; !next.done; next = steps.next()) {
      most = Math.max(most, process.memoryUsage().rss);
      const phase = next.value.text.replace(/ repeat \d.*| from \d.*/, "");
      if (phase !== last) parts += ` ${(last = phase)} at ${((performance.now() - from) / 1000).toFixed(1)} s (${(process.cpuUsage(before).user / 1e6).toFixed(1)} s);`;
    }
    most = Math.max(most, process.memoryUsage().rss);
    const used = process.cpuUsage(before), result = next.value;
    console.log(`${title}${reference ? ", with loop-back" : ""}: ${((performance.now() - from) / 1000).toFixed(1)} s, ${((used.user + used.system) / 1e6).toFixed(1)} s of processor, ${(most / 2 ** 30).toFixed(2)} GB in all; ${result.repeats.length} repeats, drift ${result.drift.ppm.toFixed(2)} ppm;${parts}`);
  }
}
