import { existsSync, realpathSync, statSync, writeFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { AirpathError, FileError, InputError } from "../../src/errors.js";
import { lineOfText } from "../share/line-of-text.js";
import { predictionCsv } from "../share/prediction-csv.js";
import { type DesignFile } from "../words/design-json.js";
import { designFromBytes, predictDesignFile, predictSpreads, readDesign } from "../words/design-file.js";
import type { PredictWords } from "../words/predict.js";
import type { UncertainWords } from "../words/spread.js";
import { airpathVersion } from "./clone.js";
import type { Command, Given } from "./command.js";

const optionNames = ["drive", "space", "distance", "frequencies"] as const;

async function run(given: Given): Promise<number> {
  try {
    return await predictToTable(given);
  } catch (error) {
    // names from the file must not reach the terminal as they are
    if (error instanceof AirpathError) error.message = lineOfText(error.message);
    throw error;
  }
}

async function predictToTable({ arguments: [file = ""], options }: Given): Promise<number> {
  const output = options["output"] as string | undefined;
  const replace = options["replace"] === true;
  if (output === undefined && replace) throw new InputError({ where: "airpath predict --replace", came: "no file to write", expected: "it is expected together with --output" });
  if (output !== undefined) checkOutput(output, file, replace);
  const design = file === "-" ? designFromBytes(await standardInput(), "standard input") : readDesign(file);
  const draws = drawsOf(options, design);
  const spread = design.spreads.length === 0 ? undefined : await predictSpreads(design, wordsOf(options), draws);
  const prediction = spread?.nominal ?? predictDesignFile(design, wordsOf(options));
  say(`${prediction.design.kind} "${lineOfText(prediction.design.name)}": ${prediction.frequencies.length} frequencies solved${spread === undefined ? "" : `, ${spread.count} times for ${design.spreads.length === 1 ? "one quantity" : `${design.spreads.length} quantities`} with a spread`}`);
  for (const note of [...prediction.notes, ...(spread?.notes ?? [])]) say(`${note.severity === "warning" ? "warning" : "note"}: ${note.text}`);
  const text = predictionCsv(prediction, { version: airpathVersion(), ...(spread === undefined ? {} : { spread }) });
  if (output === undefined) await toStandardOutput(text);
  else {
    writeTable(output, text, replace);
    say(`wrote ${basename(output)}`);
  }
  return 0;
}

function wordsOf(options: Given["options"]): PredictWords {
  return Object.fromEntries(optionNames.filter((name) => options[name] !== undefined).map((name) => [name, options[name]])) as DesignFile["predict"];
}

/** How often and from which seed spreads are drawn. */
function drawsOf(options: Given["options"], design: DesignFile): UncertainWords {
  const given = (["runs", "seed"] as const).filter((name) => options[name] !== undefined);
  const [first] = given;
  if (first !== undefined && design.spreads.length === 0) throw new InputError({ where: `airpath predict --${first}`, came: "a design without spreads", expected: 'a quantity with a spread is expected with it, such as "7.9 L +- 10 %"' });
  const whole = (name: "runs" | "seed", low: number, high: number): number => {
    const text = String(options[name]);
    const value = /^\d{1,10}$/.test(text) ? Number(text) : NaN;
    if (!(value >= low && value <= high)) throw new InputError({ where: `airpath predict --${name}`, came: JSON.stringify(text), expected: `a whole number from ${low} to ${high} is expected` });
    return value;
  };
  return {
    ...(options["runs"] === undefined ? {} : { count: whole("runs", 10, 10_000) }),
    ...(options["seed"] === undefined ? {} : { seed: whole("seed", 0, 2 ** 32 - 1) }),
  };
}

/** Refuses, before any work, an output whose folder is missing, that exists, is a folder or is the design itself. */
function checkOutput(output: string, file: string, replace: boolean): void {
  if (output.trim() === "") throw new InputError({ where: "airpath predict --output", came: '""', expected: "the name of a file is expected, such as out.csv" });
  if (!existsSync(output)) return checkFolder(output);
  if (statSync(output).isDirectory()) {
    throw new FileError({ file: basename(output), came: "a folder", expected: "the name of a file for the table is expected", hint: `add the name: ${join(basename(output), "out.csv").replaceAll("\\", "/")}` });
  }
  if (existsSync(file) && realpathSync(output) === realpathSync(file)) {
    throw new FileError({ file: basename(output), came: "the design file itself", expected: "another name is expected for the table" });
  }
  if (!replace) throw alreadyThere(output);
}

/** Refuses an output that lies in no folder, or in a file. */
function checkFolder(output: string): void {
  const file = basename(output), folder = dirname(output);
  if (/[\\/]$/.test(output)) throw new FileError({ file, came: "a folder that does not exist", expected: "the name of a file for the table is expected" });
  let above = folder;
  while (!existsSync(above) && dirname(above) !== above) above = dirname(above);
  if (existsSync(above) && !statSync(above).isDirectory()) throw new FileError({ file, came: `"${basename(above)}" before it is a file`, expected: "a folder is expected before the name" });
  if (above !== folder) throw new FileError({ file, came: `a folder that does not exist, "${basename(folder)}"`, expected: "a folder that exists is expected before the name", hint: "make the folder first" });
}

function alreadyThere(output: string): FileError {
  return new FileError({ file: basename(output), came: "it exists already", expected: "a new name is expected", hint: "add --replace to write over it" });
}

function writeTable(output: string, text: string, replace: boolean): void {
  try {
    writeFileSync(output, text, { flag: replace ? "w" : "wx" });
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    if (code === "EEXIST") throw alreadyThere(output);
    throw new FileError({ file: basename(output), came: code === "ENOENT" ? "a folder that does not exist" : `it cannot be written (${code ?? "unknown reason"})`, expected: "a writable place is expected" });
  }
}

function say(text: string): void {
  process.stderr.write(`${lineOfText(text)}\n`);
}

async function standardInput(): Promise<Uint8Array> {
  const pieces: Buffer[] = [];
  let size = 0;
  for await (const piece of process.stdin) {
    pieces.push(piece as Buffer);
    size += (piece as Buffer).length;
    if (size > 64 * 1024 * 1024) break; // far beyond any design; refused by the reader
  }
  return Buffer.concat(pieces);
}

/** Writes all of it; a reader that stops early (such as head) is no error. */
function toStandardOutput(text: string): Promise<void> {
  return new Promise((done, fail) => {
    const ended = (error?: NodeJS.ErrnoException | null): void => (error && error.code !== "EPIPE" ? fail(error) : done());
    // stays: the event may come after the answer to the write
    process.stdout.on("error", ended);
    process.stdout.write(text, ended);
  });
}

/** `airpath predict`: solves a design file and writes a table. */
export const command: Command = {
  name: "predict",
  summary: "Solve a design file and write level, phase, impedance, excursion and air speed as a table (CSV)",
  arguments: [{ name: "design.json", isRequired: true, text: 'design file, as saveDesign writes it; "-" reads standard input' }],
  options: {
    output: { type: "string", short: "o", value: "out.csv", text: "file for the table; standard output when missing" },
    frequencies: { type: "string", value: "10:500:200", text: "from Hz : to Hz : how many; those of the file, or 10:500:400, when missing" },
    drive: { type: "string", value: '"2.83 V"', text: 'voltage, or power such as "30 W"; that of the file, or 2.83 V, when missing' },
    space: { type: "string", value: "half", text: "full, half, quarter or eighth space; that of the file, or half, when missing" },
    distance: { type: "string", value: '"1 m"', text: "from the openings to the listener; that of the file, or 1 m, when missing" },
    runs: { type: "string", value: "200", text: "how often spreads of the file (\"7.9 L +- 10 %\") are drawn, 10 to 10000; 200 when missing" },
    seed: { type: "string", value: "1", text: "whole number that the draws follow from; 1 when missing" },
    replace: { type: "boolean", text: "write over the table when it exists" },
  },
  examples: [
    ["airpath predict design.json -o out.csv", "writes out.csv, unless it exists"],
    ["airpath predict design.json", "writes the table to standard output"],
    ['airpath predict design.json -o out.csv --replace --drive "30 W" --space quarter --distance "2 m"', "the same under other conditions"],
    ["airpath predict - --frequencies 10:500:200 < design.json", "reads the design from standard input"],
  ],
  run,
};
