import { existsSync, realpathSync, writeFileSync } from "node:fs";
import { basename } from "node:path";
import { AirpathError, FileError, InputError } from "../../src/errors.js";
import { lineOfText } from "../share/line-of-text.js";
import { predictionCsv } from "../share/prediction-csv.js";
import { type DesignFile } from "../words/design-json.js";
import { designFromBytes, predictDesignFile, readDesign } from "../words/design-file.js";
import type { PredictWords } from "../words/predict.js";
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
  const prediction = predictDesignFile(design, wordsOf(options));
  say(`${prediction.design.kind} "${lineOfText(prediction.design.name)}": ${prediction.frequencies.length} frequencies solved`);
  for (const note of prediction.notes) say(`${note.severity === "warning" ? "warning" : "note"}: ${note.text}`);
  const text = predictionCsv(prediction, { version: airpathVersion() });
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

/** Refuses, before any work, an output that exists or is the design itself. */
function checkOutput(output: string, file: string, replace: boolean): void {
  if (!existsSync(output)) return;
  if (existsSync(file) && realpathSync(output) === realpathSync(file)) {
    throw new FileError({ file: basename(output), came: "the design file itself", expected: "another name is expected for the table" });
  }
  if (!replace) throw alreadyThere(output);
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
