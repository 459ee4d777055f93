import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";

const clone = join(__dirname, "..", "..");
const readme = readFileSync(join(clone, "README.md"), "utf8");
const scripts = (JSON.parse(readFileSync(join(clone, "package.json"), "utf8")) as { readonly scripts: Readonly<Record<string, string>> }).scripts;

describe("README.md", () => {
  test("asks for the packages before the first npx, which would else look for a foreign package", () => {
    const first = readme.search(/npx airpath/), installs = readme.search(/npm run demo|npm install/);
    expect(installs).toBeGreaterThan(0);
    expect(installs).toBeLessThan(first);
    expect(readme).toMatch(/Run one of the two before the first\s+`npx airpath`/);
    // each section that uses npx says so again, for those who start reading there
    for (const section of readme.split(/^## /m).slice(1)) {
      const at = section.search(/npx airpath/);
      if (at >= 0) expect(section.slice(0, at), section.slice(0, 40)).toMatch(/npm run demo|npm install|packages installed/);
    }
  });

  test("names scripts and files that exist", () => {
    const named = [...readme.matchAll(/npm run ([\w:-]+)/g)].map((found) => found[1]!);
    expect(named.length).toBeGreaterThan(2);
    for (const name of named) expect(Object.keys(scripts), name).toContain(name);
    for (const [, file] of readme.matchAll(/\]\(((?!http)[^)#]+)\)/g)) expect(readFileSync(join(clone, file!)).length, file).toBeGreaterThan(0);
    for (const [, file] of readme.matchAll(/npx airpath predict (\S+\.json)/g)) expect(readFileSync(join(clone, file!)).length, file).toBeGreaterThan(0);
  });
});
