import { fork } from "node:child_process";
import { join } from "node:path";
import { packageFolder } from "./clone.js";
import type { FromKernel, ToKernel } from "./kernel-messages.js";

/** How a kernel process ended. */
export interface KernelEnd {
  /** exit code, no unit; null when a signal ended it */
  readonly code: number | null;
  /** signal that ended it, or null */
  readonly signal: string | null;
  /** end of what the process itself (not a cell) wrote to standard error */
  readonly errorText: string;
}

/** A forked kernel process. */
export interface KernelProcess {
  readonly tell: (message: ToKernel) => void;
  /** Asks it to stop the running cell and to start no other; kills it when it has not ended after the grace time. */
  readonly stop: () => void;
  /** Ends it at once. */
  readonly kill: () => void;
  /** resolves when the process has ended and all its messages have arrived */
  readonly ended: Promise<KernelEnd>;
}

/** Time, in ms, between the request to stop and the kill. */
const graceMs = 4000;

/** Starts a kernel process in a folder (that of the notebook, absolute). It runs nothing until it is told to. */
export function startKernelProcess(folder: string, onMessage: (message: FromKernel) => void): KernelProcess {
  const session = join(packageFolder(), "dist", "kernel-helpers", "commands", "kernel-session.js");
  const env = { ...process.env, NO_COLOR: "1" } as NodeJS.ProcessEnv;
  delete env["FORCE_COLOR"];
  const child = fork(session, [], { cwd: folder, env, execArgv: [], stdio: ["ignore", "pipe", "pipe", "ipc"] });
  let errorText = "";
  child.stdout?.resume();
  child.stderr?.setEncoding("utf8").on("data", (piece: string) => {
    errorText = (errorText + piece).slice(-4000);
  });
  child.on("message", (message) => onMessage(message as FromKernel));

  let graceTimer: NodeJS.Timeout | undefined;
  const kill = (): void => void child.kill("SIGKILL");
  const ended = new Promise<KernelEnd>((resolve) => {
    let exit: { code: number | null; signal: string | null } | undefined;
    let connected = true;
    // Messages may still arrive after "exit"; the last one has arrived when the channel is closed.
    const settle = (): void => {
      if (exit === undefined || connected) return;
      clearTimeout(graceTimer);
      process.removeListener("exit", kill);
      resolve({ ...exit, errorText });
    };
    child.on("exit", (code, signal) => {
      exit = { code, signal };
      settle();
    });
    child.on("disconnect", () => {
      connected = false;
      settle();
    });
    child.on("error", (problem) => {
      errorText += problem.message;
      if (child.pid !== undefined) return;
      exit = { code: 1, signal: null };
      connected = false;
      settle();
    });
  });
  process.on("exit", kill);
  const tell = (message: ToKernel): void => {
    if (child.connected) child.send(message, () => undefined);
  };
  const stop = (): void => {
    tell({ kind: "stop" });
    child.kill("SIGINT");
    graceTimer ??= setTimeout(kill, graceMs);
  };
  return { tell, stop, kill, ended };
}
