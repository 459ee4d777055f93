// What the timed processes share: reading the cases, writing the rows once for the check, then one timing a line of standard input.
import { readFileSync, writeFileSync } from "node:fs";
import { createInterface } from "node:readline";

/** Cases as the bench wrote them: a head of 32 numbers, the frequencies, the mouth load, then lengths and areas of each design. */
export function readCases(file) {
  const bytes = readFileSync(file), all = new Float64Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length));
  const [designs, sections, n, near, far, density, soundSpeed, viscosity, Re, Le, Bl, Mms, Cms, Rms, Sd, voltage, sourceResistance] = all;
  const at = 32 + 3 * n, stride = 2 * sections + 1;
  return {
    designs, sections, n, near, far,
    air: { density, soundSpeed, viscosity, prandtl: all[29], heatRatio: all[30] },
    driver: { name: "invented", Re, Le, Bl, Mms, Cms, Rms, Sd },
    drive: { voltage, sourceResistance },
    wave: Array.from(all.slice(17, 23)),
    flow: Array.from(all.slice(23, 29)),
    frequencies: all.slice(32, 32 + n),
    mouth: { re: all.slice(32 + n, 32 + 2 * n), im: all.slice(32 + 2 * n, 32 + 3 * n) },
    shapes: Array.from({ length: designs }, (_, d) => ({ length: all.slice(at + d * stride, at + d * stride + sections), area: all.slice(at + d * stride + sections, at + (d + 1) * stride) })),
  };
}

/** Writes the rows of all designs, says that it is ready, then times `work` for a fifth of a second of processor time at each line. */
export function answer({ designs, rowsEach, out, work, warm = 2000, batch = 1 }) {
  const rows = Array.from({ length: designs }, () => new Float64Array(rowsEach)), scratch = new Float64Array(rowsEach);
  for (let d = 0; d < designs; d++) work(d, rows[d]);
  if (out !== undefined) writeFileSync(out, Buffer.concat(rows.map((r) => Buffer.from(r.buffer))));
  for (let i = 0; i < warm; i++) work(i % designs, scratch);
  console.log("ready");
  createInterface({ input: process.stdin }).on("line", () => {
    // processor time, so that other processes on the machine do not count
    const start = process.cpuUsage();
    const spent = () => {
      const { user, system } = process.cpuUsage(start);
      return user + system;
    };
    let count = 0;
    do {
      for (let i = 0; i < batch; i++) work(count++ % designs, scratch);
    } while (spent() < 200_000);
    console.log(String(spent() / count));
  });
}
