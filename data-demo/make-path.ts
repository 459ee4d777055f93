// Draws the folded path of the invented box out straight and writes van-horn-path.json. Run: node kernel-helpers/dist/data-demo/make-path.js
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { demoFolder } from "./demo-folder.js";
import { pathText } from "./field/path-text.js";
import type { FoldedPlan } from "./field/path.js";

const folder = demoFolder();
writeFileSync(join(folder, "van-horn-path.json"), pathText(JSON.parse(readFileSync(join(folder, "van-horn-outline.json"), "utf8")) as FoldedPlan));
