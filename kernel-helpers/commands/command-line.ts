import { parseArgs } from "node:util";
import { nearestKey } from "../options.js";
import type { Command, Given } from "./command.js";

/** What is wrong with a command line, as one line; or what was given. */
export type ReadCommandLine =
  | { readonly kind: "help" }
  | { readonly kind: "problem"; readonly text: string }
  | { readonly kind: "given"; readonly given: Given };

/** Reads the arguments and options that follow the name of a command. */
export function readCommandLine(command: Command, args: readonly string[]): ReadCommandLine {
  const options: Record<string, { type: "string" | "boolean"; short?: string }> = { help: { type: "boolean", short: "h" } };
  for (const [name, { type, short }] of Object.entries(command.options)) {
    options[name] = short === undefined ? { type } : { type, short };
  }
  const where = `airpath ${command.name}`;
  const problem = (text: string): ReadCommandLine => ({ kind: "problem", text: `${where}: ${text}` });
  const { tokens } = parseArgs({ args: [...args], options, allowPositionals: true, strict: false, tokens: true });
  const values: Record<string, string | boolean> = {};
  const positionals: string[] = [];
  for (const token of tokens) {
    if (token.kind === "positional") positionals.push(token.value);
    if (token.kind !== "option") continue;
    const known = options[token.name];
    if (known === undefined) {
      const near = nearestKey(token.name, Object.keys(options));
      return problem(`no option "${token.rawName}"; ${near ? `did you mean "--${near}"?` : `see ${where} --help.`}`);
    }
    const value = token.value;
    if (known.type === "string" && (value === undefined || (!token.inlineValue && value.startsWith("-")))) {
      return problem(`"${token.rawName}" has no value; one is expected, such as ${token.rawName} ${command.options[token.name]?.value ?? "value"}.`);
    }
    if (known.type === "boolean" && value !== undefined) return problem(`"${token.rawName}" takes no value; "${value}" came.`);
    values[token.name] = value ?? true;
  }
  if (values["help"]) return { kind: "help" };
  const missing = command.arguments.find((argument, index) => argument.isRequired && positionals[index] === undefined);
  if (missing) return problem(`no ${missing.name} given; see ${where} --help.`);
  const extra = command.arguments.some((argument) => argument.isRepeated) ? undefined : positionals[command.arguments.length];
  if (extra !== undefined) return problem(`"${extra}" is one argument too many; see ${where} --help.`);
  return { kind: "given", given: { arguments: positionals, options: values } };
}
