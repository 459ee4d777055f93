import type { Command, CommandArgument } from "./command.js";
import { explainedLines } from "./text-layout.js";

const exitCodes = ["Exit codes", ...explainedLines([
  ["0", "all is well"],
  ["1", "it did not work: a cell failed, a file or a value cannot be used"],
  ["2", "the command line itself is wrong"],
])];

function argumentText(argument: CommandArgument): string {
  const name = argument.isRepeated ? `${argument.name} ...` : argument.name;
  return argument.isRequired ? `<${name}>` : `[${name}]`;
}

/** The help of all commands, as text with line ends. */
export function generalHelp(commands: readonly Command[]): string {
  const rows = commands.map((command) => [[command.name, ...command.arguments.map(argumentText)].join(" "), command.summary] as const);
  const examples = commands.flatMap((command) => command.examples.slice(0, 1));
  return [
    "airpath: design notebooks for loudspeaker enclosures",
    "",
    "Use: airpath <command> [options]",
    "",
    "Commands",
    ...explainedLines(rows),
    "",
    "Options",
    ...explainedLines([
      ["-h, --help", "this help, or that of a command: airpath run --help"],
      ["-v, --version", "the version of airpath"],
    ]),
    "",
    "Examples",
    ...explainedLines(examples),
    "",
    ...exitCodes,
    "",
  ].join("\n");
}

/** The help of one command, as text with line ends. */
export function commandHelp(command: Command): string {
  const options = Object.entries(command.options).map(([name, option]) => [
    `${option.short ? `-${option.short}, ` : "    "}--${name}${option.type === "string" ? ` <${option.value ?? "value"}>` : ""}`,
    option.text,
  ] as const);
  const args = command.arguments.map((argument) => [argumentText(argument), argument.text] as const);
  const use = ["airpath", command.name, ...command.arguments.map(argumentText), "[options]"].join(" ");
  return [
    `Use: ${use}`,
    "",
    `${command.summary}.`,
    ...(args.length === 0 ? [] : ["", "Arguments", ...explainedLines(args)]),
    "",
    "Options",
    ...explainedLines([...options, ["-h, --help", "this help"]]),
    "",
    "Examples",
    ...explainedLines(command.examples),
    "",
    ...exitCodes,
    "",
  ].join("\n");
}
