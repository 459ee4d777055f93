import { realpathSync } from "node:fs";
import { homedir } from "node:os";
import { dirname, resolve } from "node:path";
import { InputError } from "../../src/errors.js";
import { type CellProgress, cellsThatRun } from "./cell-progress.js";
import { cloneFolder, isInside } from "./clone.js";
import { type Failure, ownFailure } from "./failure-text.js";
import { type Headline, headlinesOf } from "./headline.js";
import { type KernelEnd, type KernelProcess, startKernelProcess } from "./kernel-process.js";
import { joinText, type Notebook, readNotebook } from "./notebook-file.js";
import { type CellFailure, RunState } from "./run-state.js";
import { pathShortener } from "./shorten-paths.js";

/** How a notebook is run. */
export interface RunNotebookOptions {
  /** longest time for one cell, in s; 300 when missing */
  readonly timeoutSeconds?: number;
  /** called when a cell starts */
  readonly onCell?: (progress: CellProgress) => void;
}

/** A notebook that has been run. */
export interface NotebookRun {
  /** the notebook with its outputs; the same bytes for the same notebook and the same results */
  readonly notebook: Notebook;
  /** whether all cells ran without a failure */
  readonly ok: boolean;
  /** the failures in the order in which they happened */
  readonly failures: readonly CellFailure[];
  /** headline numbers among the outputs, in order */
  readonly headlines: readonly Headline[];
}

/**
 * Runs a notebook from top to bottom in a fresh kernel process and returns it with its outputs; stops after the
 * first cell that fails. The file itself is not changed. A failing cell is a result, not an exception.
 *
 * @param file     path of the notebook; cells see its folder as their working directory
 * @param options  time limit in s for one cell, and a function that hears of each cell
 * @throws FileError when the file is no TypeScript notebook
 * @throws InputError when the time limit is not positive
 */
export async function runNotebook(file: string, options: RunNotebookOptions = {}): Promise<NotebookRun> {
  const limit = options.timeoutSeconds ?? 300;
  if (!(limit > 0)) {
    throw new InputError({ where: "runNotebook", came: `a time limit of ${limit} s`, expected: "a positive time is expected" });
  }
  const given = readNotebook(file);
  const folder = realpathSync(dirname(resolve(file)));
  const places = cellsThatRun(given.cells);
  const state = new RunState(places, shortenerFor(folder));
  if (places.length > 0) {
    const end = await runInKernel(state, { folder, given, places, limit, onCell: options.onCell });
    if (!state.isDone) state.fail(state.stopReason ?? endFailure(end));
    else if (state.stopReason && state.failures.length === 0) state.fail(state.stopReason);
  }
  const notebook = state.result(given);
  return { notebook, ok: state.failures.length === 0, failures: state.failures, headlines: headlinesOf(notebook) };
}

/** Time, in s, that the kernel may take for itself: to start, and after a cell. */
const ownSeconds = 120;

interface KernelRun {
  readonly folder: string;
  readonly given: Notebook;
  readonly places: readonly CellProgress[];
  readonly limit: number;
  readonly onCell: ((progress: CellProgress) => void) | undefined;
}

async function runInKernel(state: RunState, run: KernelRun): Promise<KernelEnd> {
  let timer: NodeJS.Timeout | undefined;
  const kernel: KernelProcess = startKernelProcess(run.folder, (message) => {
    const started = state.hear(message);
    if (message.kind === "start") arm(run.limit, "the cell ran");
    if (message.kind === "end") arm(ownSeconds, "the kernel was silent");
    if (started) run.onCell?.(started);
  });
  const stop = (reason: Failure): void => {
    state.stopReason ??= reason;
    kernel.stop();
  };
  const arm = (seconds: number, what: string): void => {
    clearTimeout(timer);
    const reason = ownFailure("TimeLimit", `${what} longer than ${seconds} s and was stopped`);
    timer = setTimeout(() => stop(reason), Math.min(seconds * 1000, 2 ** 31 - 1));
  };
  const unwatch = watchSignals(() => stop(ownFailure("Stopped", "stopped by Ctrl-C")), kernel.kill);
  try {
    arm(ownSeconds, "the kernel was starting");
    const cells = run.places.map(({ cell }) => ({ cell, code: joinText(run.given.cells[cell]?.source ?? "") }));
    kernel.tell({ kind: "run", cells });
    return await kernel.ended;
  } finally {
    clearTimeout(timer);
    unwatch();
    kernel.kill();
  }
}

/** Passes Ctrl-C and an end from outside on to the kernel process; returns the function that stops doing so. */
function watchSignals(stop: () => void, kill: () => void): () => void {
  let interrupts = 0;
  const interrupt = (): void => (++interrupts === 1 ? stop() : kill());
  const end = (signal: NodeJS.Signals): void => {
    kill();
    unwatch();
    process.kill(process.pid, signal);
  };
  const unwatch = (): void => {
    process.removeListener("SIGINT", interrupt);
    process.removeListener("SIGTERM", end);
    process.removeListener("SIGHUP", end);
  };
  process.on("SIGINT", interrupt);
  process.on("SIGTERM", end);
  process.on("SIGHUP", end);
  return unwatch;
}

/** Takes this machine's paths out of a text: those in the clone, in the notebook's folder and in the home folder. */
function shortenerFor(folder: string): (text: string) => string {
  const clone = cloneFolder();
  const outside = !isInside(folder, clone);
  const own = outside ? [[folder, ""] as const] : [];
  return pathShortener([...own, [clone, outside ? "airpath" : ""], [homedir(), "~"]]);
}

function endFailure(end: KernelEnd): Failure {
  const how = end.signal === null ? `exit code ${String(end.code)}` : `signal ${end.signal}`;
  const isFull = /heap out of memory/.test(end.errorText);
  const why = isFull ? "it ran out of memory" : end.signal === null ? "process.exit in a cell does that" : "it was ended from outside";
  return ownFailure("KernelEnded", `the kernel process ended (${how}) before the cell was done; ${why}`);
}
