import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { homedir, tmpdir } from "node:os";
import { isAbsolute, join } from "node:path";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { command, jupyterFolder, kernelName, kernelSpec } from "../../kernel-helpers/commands/kernel.js";
import { starterNotebook } from "../../kernel-helpers/commands/starter-notebook.js";
import { FileError } from "../../src/errors.js";

let folder = "";
let said = "";
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "airpath-kernel-"));
  said = "";
  vi.spyOn(process.stdout, "write").mockImplementation((text) => {
    said += String(text);
    return true;
  });
});
afterEach(() => {
  vi.restoreAllMocks();
  rmSync(folder, { recursive: true });
});

const specFile = (): string => join(folder, "kernels", kernelName, "kernel.json");
const run = (more: Record<string, boolean> = {}): Promise<number> => command.run({ arguments: [], options: { folder, ...more } });

describe("the folder of Jupyter", () => {
  it("follows the platform and what the environment says", () => {
    const home = homedir();
    expect(jupyterFolder({}, "linux")).toBe(join(home, ".local", "share", "jupyter"));
    expect(jupyterFolder({ XDG_DATA_HOME: join("/", "x") }, "linux")).toBe(join("/", "x", "jupyter"));
    expect(jupyterFolder({ XDG_DATA_HOME: "/x", JUPYTER_DATA_DIR: "/y" }, "linux")).toBe("/y");
    expect(jupyterFolder({ XDG_DATA_HOME: "/x" }, "darwin")).toBe(join(home, "Library", "Jupyter"));
    expect(jupyterFolder({ APPDATA: "/roaming" }, "win32")).toBe(join("/roaming", "jupyter"));
    expect(jupyterFolder({ JUPYTER_DATA_DIR: "/y" }, "win32")).toBe("/y");
  });
});

describe("the kernel specification", () => {
  it("starts files that are there, by absolute path", () => {
    const [node, tslab, ...rest] = kernelSpec().argv;
    for (const file of [node, tslab]) {
      expect(isAbsolute(file ?? "")).toBe(true);
      expect(existsSync(file ?? "")).toBe(true);
    }
    expect(rest).toEqual(["kernel", "--config-path", "{connection_file}"]);
  });

  it("carries the name and the language that our notebooks ask for", () => {
    const { kernelspec } = starterNotebook("van").metadata as { kernelspec: Record<string, string> };
    expect(kernelspec).toEqual({ display_name: kernelSpec().display_name, language: kernelSpec().language, name: kernelName });
  });

  it("is written, written again and removed", async () => {
    expect(await run()).toBe(0);
    expect(JSON.parse(readFileSync(specFile(), "utf8"))).toEqual(kernelSpec());
    expect(said).toContain(kernelSpec().display_name);
    expect(await run()).toBe(0);
    expect(said).not.toContain("replaces");
    expect(await run({ remove: true })).toBe(0);
    expect(existsSync(join(folder, "kernels", kernelName))).toBe(false);
    expect(await run({ remove: true })).toBe(0);
    expect(said).toContain("nothing to remove");
  });

  it("says when it replaces that of another clone", async () => {
    await run();
    const spec = kernelSpec();
    writeFileSync(specFile(), JSON.stringify({ ...spec, argv: [spec.argv[0], "/elsewhere/tslab"] }));
    said = "";
    await run();
    expect(said).toContain("replaces the registration that started /elsewhere/tslab");
    expect(JSON.parse(readFileSync(specFile(), "utf8"))).toEqual(spec);
  });

  it.each(["{}", "not json", '{"argv":["tslab","kernel"],"language":"typescript"}'])("never touches one that is not ours: %s", async (text) => {
    mkdirSync(join(folder, "kernels", kernelName), { recursive: true });
    writeFileSync(specFile(), text);
    await expect(run()).rejects.toThrow(FileError);
    await expect(run({ remove: true })).rejects.toThrow(FileError);
    expect(readFileSync(specFile(), "utf8")).toBe(text);
  });
});
