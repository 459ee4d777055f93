import { existsSync } from "node:fs";
import { join } from "node:path";
import { AirpathError } from "../../src/errors.js";
import { nearestKey } from "../options.js";
import { airpathVersion } from "./clone.js";
import type { Command } from "./command.js";
import { readCommandLine } from "./command-line.js";
import { command as demo } from "./demo.js";
import { commandHelp, generalHelp } from "./help-text.js";
import { command as kernel } from "./kernel.js";
import { command as newBuild } from "./new-build.js";
import { command as run } from "./run.js";

/** Commands in files that load more; each exports `command`, and is read only when it is asked for. */
const furtherFiles = ["predict", "verify", "pictures"];

const ownCommands: readonly Command[] = [run, demo, newBuild, kernel];

function furtherCommand(name: string): Command | undefined {
  const file = join(__dirname, `${name}.js`);
  return furtherFiles.includes(name) && existsSync(file) ? (require(file) as { command: Command }).command : undefined;
}

function findCommand(name: string): Command | undefined {
  return ownCommands.find((one) => one.name === name) ?? furtherCommand(name);
}

/** All commands, in the order in which the help shows them. */
function allCommands(): Command[] {
  const further = furtherFiles.map(furtherCommand).filter((command) => command !== undefined);
  return [run, demo, ...further, newBuild, kernel];
}

function complain(text: string): void {
  process.stderr.write(`${text}\n`);
}

/**
 * Runs the airpath command line.
 *
 * @param args  what was typed after "airpath"
 * @returns     exit code, no unit: 0 all is well, 1 it did not work, 2 the command line is wrong
 */
export async function runCommandLine(args: readonly string[]): Promise<number> {
  const [first, ...rest] = args;
  if (first === undefined || first === "--help" || first === "-h" || (first === "help" && rest[0] === undefined)) {
    process.stdout.write(generalHelp(allCommands()));
    return first === undefined ? 2 : 0;
  }
  if (first === "--version" || first === "-v") {
    process.stdout.write(`${airpathVersion()}\n`);
    return 0;
  }
  const name = first === "help" ? (rest[0] ?? "") : first;
  const command = findCommand(name);
  if (!command) {
    const near = nearestKey(name, allCommands().map((one) => one.name));
    const missing = furtherFiles.includes(name) ? "it is not part of this version" : "see airpath --help";
    complain(`airpath: no command "${name}"; ${near && near !== name ? `did you mean "${near}"?` : `${missing}.`}`);
    return 2;
  }
  const read = first === "help" ? ({ kind: "help" } as const) : readCommandLine(command, rest);
  if (read.kind === "help") {
    process.stdout.write(commandHelp(command));
    return 0;
  }
  if (read.kind === "problem") {
    complain(read.text);
    return 2;
  }
  try {
    return await command.run(read.given);
  } catch (problem) {
    if (!(problem instanceof AirpathError)) throw problem;
    complain(`${problem.name}: ${problem.message}`);
    return 1;
  }
}

/** Runs the command line and sets the exit code of this process. */
export function start(args: readonly string[]): void {
  void runCommandLine(args).then((code) => {
    process.exitCode = code;
  });
}

if (require.main === module) start(process.argv.slice(2));
