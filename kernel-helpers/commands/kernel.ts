import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { homedir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { FileError } from "../../src/errors.js";
import { airpathVersion, packageFolder } from "./clone.js";
import type { Command, Given } from "./command.js";

/** Name of the kernel in Jupyter and in the notebooks' metadata; its own, so that no other tslab kernel is touched. */
export const kernelName: string = "airpath";

/** Name that Jupyter and editors show. */
export const kernelTitle: string = "TypeScript (airpath)";

/** A kernel specification, as Jupyter reads it from kernel.json. */
export interface KernelSpec {
  readonly argv: readonly string[];
  readonly display_name: string;
  readonly language: string;
  readonly metadata: { readonly airpath: { readonly version: string } };
}

/** Folder where Jupyter looks for what a user has added, absolute, by platform and environment. */
export function jupyterFolder(
  environment: Readonly<Record<string, string | undefined>> = process.env,
  platform: string = process.platform,
): string {
  const home = homedir();
  if (environment["JUPYTER_DATA_DIR"]) return resolve(environment["JUPYTER_DATA_DIR"]);
  if (platform === "darwin") return join(home, "Library", "Jupyter");
  if (platform === "win32") return join(environment["APPDATA"] ?? join(home, "AppData", "Roaming"), "jupyter");
  return join(environment["XDG_DATA_HOME"] || join(home, ".local", "share"), "jupyter");
}

/** The specification: this Node and the clone's tslab by absolute path, so that no PATH and no Python is needed. */
export function kernelSpec(): KernelSpec {
  const fromHere = createRequire(join(packageFolder(), "package.json"));
  const tslab = join(dirname(fromHere.resolve("tslab/package.json")), "bin", "tslab");
  return {
    argv: [process.execPath, tslab, "kernel", "--config-path", "{connection_file}"],
    display_name: kernelTitle,
    language: "typescript",
    metadata: { airpath: { version: airpathVersion() } },
  };
}

function readSpec(file: string): KernelSpec | undefined {
  if (!existsSync(file)) return undefined;
  let spec: Partial<KernelSpec> | undefined;
  try {
    spec = JSON.parse(readFileSync(file, "utf8")) as Partial<KernelSpec>;
  } catch {
    spec = undefined;
  }
  if (spec?.metadata?.airpath !== undefined) return spec as KernelSpec;
  throw new FileError({
    file,
    came: "a kernel that airpath did not register",
    expected: "a free name or a kernel of airpath is expected",
    hint: "Remove it by hand, or register in another folder with --folder",
  });
}

function remove(folder: string, spec: KernelSpec | undefined): number {
  if (spec) rmSync(folder, { recursive: true });
  process.stdout.write(spec ? `removed ${folder}\n` : `nothing to remove: ${folder} is not there\n`);
  return 0;
}

function howToOpen(folder: string): string {
  return `registered "${kernelTitle}" in ${folder}

Jupyter     start it as usual (jupyter lab, jupyter notebook) and open a notebook of notebooks/
an editor   open a notebook and choose the kernel "${kernelTitle}" among the Jupyter kernels
neither     npm run demo runs a notebook without both

Register again after moving the clone or changing the version of Node.js. Remove it with airpath kernel --remove.
`;
}

async function run({ options }: Given): Promise<number> {
  const data = typeof options["folder"] === "string" ? resolve(options["folder"]) : jupyterFolder();
  const folder = join(data, "kernels", kernelName);
  const file = join(folder, "kernel.json");
  const before = readSpec(file);
  if (options["remove"]) return remove(folder, before);
  const spec = kernelSpec();
  try {
    mkdirSync(folder, { recursive: true });
    writeFileSync(file, `${JSON.stringify(spec, undefined, 2)}\n`);
  } catch (problem) {
    const code = (problem as NodeJS.ErrnoException).code ?? "unknown reason";
    throw new FileError({ file, came: `cannot be written (${code})`, expected: "a folder that can be written is expected", hint: "Choose one with --folder" });
  }
  const old = before?.argv[1];
  if (old !== undefined && old !== spec.argv[1]) process.stdout.write(`this replaces the registration that started ${old}\n`);
  process.stdout.write(howToOpen(folder));
  return 0;
}

/** `airpath kernel`: makes the kernel known to Jupyter. */
export const command: Command = {
  name: "kernel",
  summary: "Register the kernel with Jupyter, for this user",
  arguments: [],
  options: {
    folder: { type: "string", short: "f", value: "folder", text: "Jupyter data folder to register in; that of the user when missing" },
    remove: { type: "boolean", text: "take the registration away" },
  },
  examples: [
    ["airpath kernel", "notebooks then open in Jupyter and in editors"],
    ["airpath kernel --remove", "takes the registration away"],
  ],
  run,
};
