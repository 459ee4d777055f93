/** Why a cell failed, as a notebook stores it. */
export interface Failure {
  /** kind of the failure: the name of the error, or one of ours (TypeCheck, TimeLimit, KernelEnded, Stopped) */
  readonly name: string;
  /** the message, without the name */
  readonly message: string;
  /** all lines that are shown */
  readonly lines: readonly string[];
}

/** A failure with a text of our own. */
export function ownFailure(name: string, message: string): Failure {
  return { name, message, lines: [`${name}: ${message}`] };
}

/** Lines of a trace that only say how the kernel or Node called the cell. */
const machineFrame = /^\s+at .*(node_modules[\\/]tslab[\\/]|\(?node:)/;

/**
 * The failure that the kernel described on standard error. Type errors (`1:7 - message`) get the name TypeCheck; of
 * a trace, the frames inside the kernel and inside Node are left out.
 */
export function readFailure(text: string): Failure {
  const lines = text.replace(/\n+$/, "").split("\n").filter((line) => !machineFrame.test(line));
  if (text.trim() === "") return ownFailure("Error", "the cell failed without a message");
  if (/^(\S+ )?\d+:\d+ - /.test(lines[0] ?? "")) return { name: "TypeCheck", message: lines[0] ?? "", lines };
  for (const line of lines) {
    const match = /^(?:Uncaught )?([A-Z][\w$]*)(?: \[\w+\])?: (.*)$/.exec(line);
    if (match) return { name: match[1] ?? "", message: match[2] ?? "", lines };
  }
  return { name: "Error", message: lines.find((line) => line.trim() !== "") ?? "", lines };
}

/** The failure as text: its lines, an Error without message as its first line. */
export function failureText(failure: Failure): string {
  return failure.lines.join("\n").trim();
}
