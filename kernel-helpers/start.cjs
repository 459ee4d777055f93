// Entry of the npm scripts: checks the Node version, installs and builds when needed, then runs the step.
// Old syntax on purpose (no arrow functions, const, template strings): an old Node must be able to read this
// file and say that it is too old, instead of stopping at a syntax error.
"use strict";

var childProcess = require("child_process");
var crypto = require("crypto");
var fs = require("fs");
var os = require("os");
var path = require("path");

var cloneFolder = path.join(__dirname, "..");
var typescriptCompiler = path.join("node_modules", "typescript", "bin", "tsc");
var commandLine = path.join("kernel-helpers", "dist", "kernel-helpers", "commands", "main.js");

/** One line that says why this Node version does not do, or "" when it does. */
function nodeProblem(version) {
  var numbers = /^v?(\d+)\.(\d+)/.exec(String(version));
  var major = numbers ? Number(numbers[1]) : 0;
  var minor = numbers ? Number(numbers[2]) : 0;
  var good = (major === 20 && minor >= 19) || (major === 22 && minor >= 13) || major >= 24;
  if (good) return "";
  return "airpath needs Node.js 20.19 or later (22.13 or later of the 22 line, or 24 and newer); this is Node.js " +
    String(version) + ". Install a newer Node.js and try again.";
}

function say(text) {
  process.stdout.write(text + "\n");
}

function complain(text) {
  process.stderr.write(text + "\n");
}

/** Program and first arguments that start npm: the npm that runs this script when it says where it is. */
function npmCommand(environment, platform) {
  var own = environment.npm_execpath;
  if (own && /npm-cli\.c?js$/.test(own)) return { program: process.execPath, before: [own], shell: false };
  return platform === "win32"
    ? { program: "npm.cmd", before: [], shell: true }
    : { program: "npm", before: [], shell: false };
}

/** Runs a program; quiet collects what it writes instead of showing it. Calls back with code and text. */
function run(program, args, options, done) {
  var text = "";
  var child = childProcess.spawn(program, args, {
    cwd: options.cwd || cloneFolder,
    shell: Boolean(options.shell),
    stdio: options.quiet ? ["ignore", "pipe", "pipe"] : "inherit",
  });
  // Ctrl-C goes to the child as well; wait for it to end by itself.
  function ignore() {}
  process.on("SIGINT", ignore);
  function keep(piece) {
    text += piece;
  }
  if (options.quiet) {
    child.stdout.setEncoding("utf8").on("data", keep);
    child.stderr.setEncoding("utf8").on("data", keep);
  }
  var ended = false;
  function end(code, why) {
    if (ended) return;
    ended = true;
    process.removeListener("SIGINT", ignore);
    done(code, text + why);
  }
  child.on("error", function (problem) {
    end(1, String(problem.message) + "\n");
  });
  child.on("close", function (code, signal) {
    end(code === null ? (signal === "SIGINT" ? 130 : 1) : code, "");
  });
}

function readJson(file) {
  try {
    return JSON.parse(fs.readFileSync(file, "utf8"));
  } catch (problem) {
    return undefined;
  }
}

function lockDigest(folder) {
  return crypto.createHash("sha256").update(fs.readFileSync(path.join(folder, "package-lock.json"))).digest("hex");
}

/** Whether npm's own note of what is installed agrees with the lock file, packages for other systems left out. */
function installedAgrees(lock, installed) {
  if (!lock || !installed || !lock.packages || !installed.packages) return false;
  return Object.keys(lock.packages).every(function (name) {
    var wanted = lock.packages[name];
    var there = installed.packages[name];
    if (name === "") return true;
    if (!there) return Boolean(wanted.optional || wanted.devOptional || wanted.peer);
    return there.version === wanted.version && there.integrity === wanted.integrity;
  });
}

/** Whether the packages of the lock file must be installed; leaves a stamp when they need not. */
function installNeeded(folder) {
  var modules = path.join(folder, "node_modules");
  var stamp = path.join(modules, ".airpath-installed");
  var there = ["tslab", "typescript", "vitest", "airpath"].every(function (name) {
    return fs.existsSync(path.join(modules, name, "package.json"));
  });
  if (!there) return true;
  var digest = lockDigest(folder);
  if (fs.existsSync(stamp) && fs.readFileSync(stamp, "utf8").trim() === digest) return false;
  var agrees = installedAgrees(readJson(path.join(folder, "package-lock.json")), readJson(path.join(modules, ".package-lock.json")));
  if (agrees) fs.writeFileSync(stamp, digest + "\n");
  return !agrees;
}

function install(done) {
  if (!installNeeded(cloneFolder)) {
    say("1/3 packages are installed");
    done(0);
    return;
  }
  say("1/3 installing the packages (once, needs the network)");
  var npm = npmCommand(process.env, process.platform);
  var args = npm.before.concat(["ci", "--no-audit", "--no-fund", "--loglevel=error"]);
  run(npm.program, args, { quiet: true, shell: npm.shell }, function (code, text) {
    if (code !== 0) {
      complain(text.trim());
      complain("npm ci did not work; its output is above. It needs the network once, then airpath works without.");
    } else {
      fs.writeFileSync(path.join(cloneFolder, "node_modules", ".airpath-installed"), lockDigest(cloneFolder) + "\n");
    }
    done(code);
  });
}

function build(done) {
  say("2/3 building");
  run(process.execPath, [typescriptCompiler, "-p", "tsconfig.json"], { quiet: true }, function (code, text) {
    if (code !== 0) complain(text.trim() + "\nThe build has errors; they are above.");
    done(code);
  });
}

/** Newest change, in ms, of the TypeScript sources below a folder of the clone. */
function newestSource(folder) {
  var newest = 0;
  fs.readdirSync(folder).forEach(function (name) {
    if (name === "dist" || name === "node_modules") return;
    var file = path.join(folder, name);
    var about = fs.statSync(file);
    if (about.isDirectory()) newest = Math.max(newest, newestSource(file));
    else if (/\.ts$/.test(name)) newest = Math.max(newest, about.mtime.getTime());
  });
  return newest;
}

/** Builds, without a word, when a source is newer than the last build; for tests that run the built files. */
function buildWhenOld() {
  var built = path.join(cloneFolder, commandLine);
  var newest = Math.max.apply(null, ["src", "kernel-helpers", "data-demo"].map(function (name) {
    return newestSource(path.join(cloneFolder, name));
  }));
  if (fs.existsSync(built) && fs.statSync(built).mtime.getTime() >= newest) return "";
  var result = childProcess.spawnSync(process.execPath, [typescriptCompiler, "-p", "tsconfig.json"], {
    cwd: cloneFolder,
    encoding: "utf8",
  });
  return result.status === 0 ? "" : String(result.stdout) + String(result.stderr);
}

/** Passed and failed counts of a vitest JSON report; a file that could not be run counts as one failure. */
function countTests(report, code) {
  var passed = report ? report.numPassedTests : 0;
  var failed = report ? report.numFailedTests : 0;
  ((report && report.testResults) || []).forEach(function (file) {
    var ownFailure = file.assertionResults.some(function (test) {
      return test.status === "failed";
    });
    if (file.status === "failed" && !ownFailure) failed += 1;
  });
  if (code !== 0 && failed === 0) failed = 1;
  return { passed: passed, failed: failed };
}

function sayCounts(counts) {
  say("\n" + counts.passed + " passed, " + counts.failed + " failed");
}

function testWith(config) {
  return function (args, done) {
    var folder = fs.mkdtempSync(path.join(os.tmpdir(), "airpath-test-"));
    var reportFile = path.join(folder, "report.json");
    var own = [path.join("node_modules", "vitest", "vitest.mjs"), "run", "--config", config,
      "--reporter=default", "--reporter=json", "--outputFile.json=" + reportFile];
    run(process.execPath, own.concat(args), {}, function (code) {
      var report = readJson(reportFile);
      if (fs.existsSync(reportFile)) fs.unlinkSync(reportFile);
      fs.rmdirSync(folder);
      sayCounts(countTests(report, code));
      done(code);
    });
  };
}

function command(name) {
  return function (args, done) {
    run(process.execPath, [commandLine, name].concat(args), {}, done);
  };
}

function script(file) {
  return function (args, done) {
    if (!fs.existsSync(path.join(cloneFolder, file))) {
      complain(file + " is not there after the build");
      done(1);
      return;
    }
    run(process.execPath, [file].concat(args), {}, done);
  };
}

/** Runs each bench file in a process of its own, one after the other; all run, the first failure is the code. */
function bench(args, done) {
  var folder = path.join("tests", "bench");
  var there = fs.existsSync(path.join(cloneFolder, folder)) ? fs.readdirSync(path.join(cloneFolder, folder)) : [];
  var files = there.filter(function (name) {
    return /\.bench\.mjs$/.test(name);
  }).sort();
  if (files.length === 0) say("no bench files in tests/bench");
  var worst = 0;
  function next() {
    if (files.length === 0) {
      done(worst);
      return;
    }
    var file = files.shift();
    say("\n" + file);
    run(process.execPath, [path.join(folder, file)].concat(args), {}, function (code) {
      worst = worst || code;
      next();
    });
  }
  next();
}

var steps = {
  demo: { says: "running the notebook", go: command("demo") },
  kernel: { says: "registering the kernel with Jupyter", go: command("kernel") },
  pictures: { says: "making the pictures", go: command("pictures") },
  test: { says: "running the tests", go: testWith("tests/vitest.config.mts"), counts: true },
  "test:browser": { says: "running the browser tests", go: testWith("tests/browser/vitest.config.mts"), counts: true },
  bench: { says: "running the bench files", go: bench },
  "demo-data": {
    says: "making the demo data",
    go: script(path.join("kernel-helpers", "dist", "data-demo", "make-demo-data.js")),
  },
};

function main(args) {
  var problem = nodeProblem(process.version);
  if (problem) {
    complain(problem);
    process.exit(1);
  }
  var step = Object.prototype.hasOwnProperty.call(steps, args[0]) ? steps[args[0]] : undefined;
  if (!step) {
    complain("start.cjs: " + (args[0] || "nothing") + " given; one of " + Object.keys(steps).join(", ") + " is expected.");
    process.exit(2);
  }
  function stop(code) {
    if (step.counts) sayCounts(countTests(undefined, 1));
    process.exitCode = code;
  }
  install(function (installCode) {
    if (installCode !== 0) return stop(installCode);
    build(function (buildCode) {
      if (buildCode !== 0) return stop(buildCode);
      say("3/3 " + step.says);
      step.go(args.slice(1), function (code) {
        process.exitCode = code;
      });
    });
  });
}

module.exports = {
  nodeProblem: nodeProblem,
  npmCommand: npmCommand,
  installedAgrees: installedAgrees,
  countTests: countTests,
  buildWhenOld: buildWhenOld,
};

if (require.main === module) main(process.argv.slice(2));
