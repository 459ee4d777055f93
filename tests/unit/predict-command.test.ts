import { spawn, spawnSync, type SpawnSyncReturns } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { command } from "../../kernel-helpers/commands/predict.js";
import { predictionCsv } from "../../kernel-helpers/share/prediction-csv.js";
import { predictDesignFile, readDesign } from "../../kernel-helpers/words/design-file.js";
import { clone, ensureBuilt } from "../notebooks/fixtures/built.js";

const folder = mkdtempSync(join(tmpdir(), "airpath-predict-"));
const airpath = join(clone, "kernel-helpers", "airpath.cjs");
const design = join(clone, "data-demo", "designs", "vented-box.json");
const version = (JSON.parse(readFileSync(join(clone, "kernel-helpers", "package.json"), "utf8")) as { version: string }).version;
beforeAll(ensureBuilt);
afterAll(() => rmSync(folder, { recursive: true }));

function run(args: readonly string[], input?: string): SpawnSyncReturns<string> {
  return spawnSync(process.execPath, [airpath, "predict", ...args], { encoding: "utf8", cwd: folder, ...(input === undefined ? {} : { input }) });
}

describe("airpath predict", () => {
  const grid = ["--frequencies", "20:200:4"];

  it("writes the table of the library, and nothing else, to standard output", () => {
    const { status, stdout, stderr } = run([design, ...grid]);
    expect(stdout).toBe(predictionCsv(predictDesignFile(readDesign(design), { frequencies: "20:200:4" }), { version }));
    expect(stderr).toBe('vented box "demo vented box": 4 frequencies solved\n');
    expect(status).toBe(0);
  });

  it("uses drive, space, distance and frequencies of the command line", () => {
    const { status, stdout, stderr } = run([design, "--drive", "60 W", "--space", "quarter", "--distance", "2 m", "--frequencies", "20 Hz:200:5"]);
    expect(status).toBe(0);
    expect(stdout).toBe(predictionCsv(predictDesignFile(readDesign(design), { drive: "60 W", space: "quarter", distance: 2, frequencies: "20:200:5" }), { version }));
    expect(stdout).toContain("# space: quarter space\n# distance: 2 m\n");
    expect(stderr).toMatch(/\nwarning: the cone would move beyond Xmax/);
  });

  it("reads standard input", () => {
    const { status, stdout } = run(["-", ...grid], readFileSync(design, "utf8"));
    expect(status).toBe(0);
    expect(stdout).toBe(run([design, ...grid]).stdout);
    const bad = run(["-"], '{"format": "airpath design"');
    expect(bad.status).toBe(1);
    expect(bad.stderr).toMatch(/^FileError: standard input: not JSON/);
  });

  it("writes a file once, and again only with --replace", () => {
    const first = run([design, ...grid, "-o", "out.csv"]);
    expect([first.status, first.stdout]).toEqual([0, ""]);
    expect(first.stderr).toContain("wrote out.csv\n");
    const file = join(folder, "out.csv");
    expect(readFileSync(file, "utf8")).toBe(run([design, ...grid]).stdout);
    writeFileSync(file, "mine\n");
    const second = run([design, ...grid, "--output", "out.csv"]);
    expect([second.status, second.stdout]).toEqual([1, ""]);
    expect(second.stderr).toBe("FileError: out.csv: it exists already; a new name is expected. add --replace to write over it.\n");
    expect(readFileSync(file, "utf8")).toBe("mine\n");
    expect(run([design, ...grid, "-o", "out.csv", "--replace"]).status).toBe(0);
    expect(readFileSync(file, "utf8")).toBe(run([design, ...grid]).stdout);
  });

  it.skipIf(process.platform === "win32")("does not write through a link that leads nowhere yet", () => {
    symlinkSync(join(folder, "later.csv"), join(folder, "link.csv"));
    expect(run([design, ...grid, "-o", "link.csv"]).status).toBe(1);
    expect(existsSync(join(folder, "later.csv"))).toBe(false);
  });

  it("never writes over the design, not even with --replace", () => {
    const own = join(folder, "own.json");
    writeFileSync(own, readFileSync(design));
    const { status, stderr } = run(["own.json", "-o", "./own.json", "--replace"]);
    expect(status).toBe(1);
    expect(stderr).toContain("the design file itself");
    expect(readFileSync(own)).toEqual(readFileSync(design));
  });

  it("says in one line what is wrong, and leaves no file behind", () => {
    const text = readFileSync(design, "utf8");
    writeFileSync(join(folder, "plain.txt"), "a file");
    const cases: readonly [args: readonly string[], input: string | undefined, status: number, line: RegExp][] = [
      [["nothing.json"], undefined, 1, /^FileError: nothing\.json: no such file; a design file is expected\.$/],
      [[folder], undefined, 1, /^FileError: .*: a folder; a design file is expected\.$/],
      [["-"], text.replace('"volume"', '"volum"'), 1, /^InputError: standard input: enclosure: no option "volum"; did you mean "volume"\?$/],
      [["-"], text.replace('"14 L"', '"14 cm"'), 1, /^InputError: standard input: enclosure\.volume: "14 cm" is a length; a volume is expected/],
      [["-"], text.replace("demo vented box", "\\u001b[31mred\\n"), 0, /^vented box "\[31mred": 400 frequencies solved$/],
      [["-"], text.replace('"version": 1', '"version": 2'), 1, /version 2; format "airpath design", version 1 is expected/],
      [[design, "--space", "tenth"], undefined, 1, /^InputError: predict\.space: "tenth"; one of "full"/],
      [[design, "--drive", "30 L"], undefined, 1, /^InputError: predict\.drive: /],
      [[design, "--frequencies", "10:500"], undefined, 1, /^InputError: predict\.frequencies: "10:500"; from:to:count in Hz is expected/],
      [[design, "--distance", "0 m"], undefined, 1, /^InputError: predict\.distance: "0 m" is not above zero/],
      [[design, "-o", join("no", "such", "x.csv")], undefined, 1, /^FileError: x\.csv: a folder that does not exist, "such"; a folder that exists is expected before the name\. make the folder first\.$/],
      [[design, "-o", "no/such/"], undefined, 1, /^FileError: such: a folder that does not exist; the name of a file for the table is expected\.$/],
      [[design, "-o", join("plain.txt", "x.csv")], undefined, 1, /^FileError: x\.csv: "plain\.txt" before it is a file; a folder is expected before the name\.$/],
      [[design, "-o", folder], undefined, 1, /^FileError: airpath-predict-\w+: a folder; the name of a file for the table is expected\. add the name: airpath-predict-\w+\/out\.csv\.$/],
      [[design, "-o", folder, "--replace"], undefined, 1, /^FileError: airpath-predict-\w+: a folder; the name of a file/],
      [[design, "-o", ""], undefined, 1, /^InputError: airpath predict --output: ""; the name of a file is expected/],
      [[design, "--runs", "50"], undefined, 1, /^InputError: airpath predict --runs: a design without spreads/],
      [["-", "--runs", "5"], text.replace('"14 L"', '"14 L +- 5 %"'), 1, /^InputError: airpath predict --runs: "5"; a whole number from 10 to 10000 is expected\.$/],
      [[design, "--replace"], undefined, 1, /^InputError: airpath predict --replace: no file to write/],
      [[], undefined, 2, /^airpath predict: no design\.json given/],
      [[design, "--spase", "half"], undefined, 2, /no option "--spase"; did you mean "--space"\?$/],
      [[design, "more"], undefined, 2, /one argument too many/],
    ];
    for (const [args, input, status, line] of cases) {
      const result = run([...args, ...(status === 0 ? [] : args.includes("-o") ? [] : ["-o", "trouble.csv"].slice(args.includes("--replace") ? 2 : 0))], input);
      const lines = result.stderr.trimEnd().split("\n");
      expect(lines[status === 0 ? 0 : lines.length - 1], args.join(" ")).toMatch(line);
      expect(result.status, args.join(" ")).toBe(status);
      if (status !== 0) expect(result.stdout).toBe("");
      expect(result.stderr).not.toMatch(/\n\s+at |\u001b/);
    }
    expect(existsSync(join(folder, "trouble.csv"))).toBe(false);
  });

  it("gives the band of a design with spreads, the same at the same seed", () => {
    const text = readFileSync(design, "utf8").replace('"14 L"', '"14 L +- 10 %"');
    const first = run(["-", ...grid, "--runs", "20", "--seed", "7"], text);
    expect(first.status, first.stderr).toBe(0);
    expect(first.stderr).toMatch(/4 frequencies solved, 20 times for one quantity with a spread\n/);
    expect(first.stdout).toContain("# uncertain: ventedBox.volume: 14 L +- 10 %, uniform\n");
    const lines = first.stdout.split("\n").filter((line) => line !== "" && !line.startsWith("#")), headings = lines[0]!;
    expect(headings).toContain('"level, 5 % (dB re 20 uPa)","level, 95 % (dB re 20 uPa)"');
    const rows = lines.slice(1).map((line) => line.split(",").map(Number));
    const plain = run([design, ...grid]).stdout.split("\n").filter((line) => line !== "" && !line.startsWith("#")).slice(1).map((line) => line.split(",").map(Number));
    const low = headings.replace(/"[^"]*"/g, (cell) => cell.replaceAll(",", "")).split(",").findIndex((cell) => cell.includes("level 5 %"));
    expect(rows).toHaveLength(4);
    rows.forEach((row, i) => {
      expect(row.slice(0, plain[i]!.length)).toEqual(plain[i]); // the nominal columns are those of the file without spreads
      expect(row[low + 1]! - row[low]!).toBeGreaterThan(0.01); // 10 % of the volume moves the level at every one of these frequencies
    });
    expect(run(["-", ...grid, "--runs", "20", "--seed", "7"], text).stdout).toBe(first.stdout);
    expect(run(["-", ...grid, "--runs", "20", "--seed", "8"], text).stdout).not.toBe(first.stdout);
  });

  it("explains itself", () => {
    const { status, stdout } = run(["--help"]);
    expect(status).toBe(0);
    for (const text of ["Use: airpath predict <design.json> [options]", ...Object.keys(command.options).map((name) => `--${name}`), "Examples", "Exit codes", "standard input"]) expect(stdout).toContain(text);
    for (const [line] of command.examples) expect(stdout).toContain(line);
  });

  it("ends quietly when its reader stops early", async () => {
    const child = spawn(process.execPath, [airpath, "predict", design, "--frequencies", "10:500:20000"], { stdio: ["ignore", "pipe", "pipe"] });
    let complaints = "";
    child.stderr.setEncoding("utf8").on("data", (piece: string) => (complaints += piece));
    child.stdout.once("data", () => child.stdout.destroy());
    const code = await new Promise((done) => child.on("close", done));
    expect(complaints).not.toMatch(/EPIPE|Error/);
    expect(code).toBe(0);
  });
});
