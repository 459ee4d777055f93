#!/usr/bin/env node
// The airpath command. Old syntax on purpose, like start.cjs: an old Node must get one clear line.
"use strict";

var fs = require("fs");
var path = require("path");
var problem = require("./start.cjs").nodeProblem(process.version);
var main = path.join(__dirname, "dist", "kernel-helpers", "commands", "main.js");

if (problem) {
  process.stderr.write(problem + "\n");
  process.exitCode = 1;
} else if (!fs.existsSync(main)) {
  process.stderr.write("airpath is not built yet; run npm install in " + path.dirname(__dirname) + " and try again.\n");
  process.exitCode = 1;
} else {
  require(main).start(process.argv.slice(2));
}
