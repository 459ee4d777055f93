// Makes the synthetic sweep files and recordings of the demo build by a two-dimensional solution in time. Run: npm run demo-data [-- --check | --output folder]
import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { demoFolder } from "./demo-folder.js";
import { demoFiles } from "./field/demo-files.js";
import type { VanHorn } from "./field/van-horn.js";
import { makeRecordings } from "./make-recordings.js";

/** First line at which two texts differ, counted from 1 (no unit); 0 = same. */
function firstDifference(a: string, b: string): number {
  if (a === b) return 0;
  const one = a.split("\n"), other = b.split("\n");
  for (let i = 0; ; i++) if (one[i] !== other[i]) return i + 1;
}

/** Runs the maker with command-line words; gives the exit code (no unit): 0, or 1 when `--check` finds a difference or the words are wrong. */
export function makeDemoData(words: readonly string[]): number {
  const say = (line: string): void => { process.stderr.write(`${line}\n`); };
  let check = false, output: string | undefined;
  for (let i = 0; i < words.length; i++) {
    if (words[i] === "--check") check = true;
    else if (words[i] === "--output" && words[i + 1] !== undefined) output = words[++i];
    else { say(`demo-data: "${words[i]}"; --check or --output followed by a folder is expected.`); return 1; }
  }
  const source = demoFolder(), folder = output ?? source;
  let shown = -1;
  const { files, field } = demoFiles(JSON.parse(readFileSync(join(source, "van-horn-outline.json"), "utf8")) as VanHorn, {
    progress: (part) => { const tenth = Math.floor(part * 10); if (tenth > shown) { shown = tenth; say(`demo-data: ${tenth * 10} % of the run`); } },
  });
  say(`demo-data: ${field.cellCount} cells, ${field.run.voltage.length} steps of ${(field.run.timeStep * 1e6).toFixed(2)} us; wall loss fitted within ${(field.lossError * 100).toFixed(1)} %`);
  let different = 0;
  if (!check) mkdirSync(folder, { recursive: true });
  for (const [name, text] of files) {
    const target = join(folder, name);
    if (!check) { writeFileSync(target, text); say(`demo-data: wrote ${name}`); continue; }
    const line = existsSync(target) ? firstDifference(text, readFileSync(target, "utf8")) : 1;
    say(line === 0 ? `demo-data: ${name} is the same` : `demo-data: ${name} differs from line ${line} on`);
    if (line > 0) different++;
  }
  say("demo-data: the recordings");
  different += makeRecordings(folder, { check, say });
  return different > 0 ? 1 : 0;
}

if (require.main === module) process.exitCode = makeDemoData(process.argv.slice(2));
