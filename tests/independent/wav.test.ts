import { execFileSync, spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import wavefile from "wavefile";
import { randomNumbers } from "../../src/math/random.js";
import { parseWav } from "../../src/measure/wav-read.js";
import { type WavBits, writeWav } from "../../src/measure/wav-write.js";

// The two other readers and writers share no code with ours: the npm library "wavefile" and the program "sox" of the distribution.
const { WaveFile } = wavefile;
const count = 257;
const random = randomNumbers(20_417);
/** Whole numbers of so many bits; of 32 bits those that 24 significant bits hold. */
const integers = (bits: number, channels: number): Int32Array[] =>
  Array.from({ length: channels }, () => Int32Array.from({ length: count }, () => Math.trunc((random.uniform() - 0.5) * 2 ** Math.min(bits, 24)) * 2 ** Math.max(0, bits - 24)));
const scaled = (values: ArrayLike<number>, bits: number): Float32Array => Float32Array.from(values, (value) => value / 2 ** (bits - 1));
const rates = [44_100, 48_000, 88_200, 96_000, 176_400, 192_000];
const kinds = ([16, 24, 32, "float"] as const).flatMap((bits, b) => [1, 2, 8].map((channels, c) => [bits, channels, rates[(3 * b + c) % rates.length]!] as const));

/** Samples of all channels for one kind of file, each a number that the kind can hold. */
function sampled(bits: WavBits, channels: number): { readonly raw: readonly Int32Array[] | readonly Float32Array[]; readonly full: Float32Array[] } {
  if (bits === "float") {
    const raw = Array.from({ length: channels }, () => Float32Array.from({ length: count }, () => 2.5 * (random.uniform() - 0.5)));
    return { raw, full: raw };
  }
  const raw = integers(bits, channels);
  return { raw, full: raw.map((values) => scaled(values, bits)) };
}

describe("wavefile, an independent library", () => {
  it.each(kinds)("reads what we write: %s bits, %i channels, %i Hz", (bits, channels, rate) => {
    const { raw, full } = sampled(bits, channels);
    const theirs = new WaveFile(writeWav({ channels: full, sampleRate: rate, bits }));
    const format = theirs.fmt as Record<string, unknown>;
    expect([format["numChannels"], format["sampleRate"], format["blockAlign"]]).toEqual([channels, rate, channels * (bits === "float" ? 4 : bits / 8)]);
    const isFloat = bits === "float", many = isFloat && channels > 2;
    // of an extensible format the library does not look at the kind: its whole numbers are then the bits of the floating point ones
    expect(theirs.bitDepth).toBe(isFloat && !many ? "32f" : many ? "32" : String(bits));
    if (format["audioFormat"] === 0xfffe) expect((format["subformat"] as number[])[0]).toBe(isFloat ? 3 : 1);
    const got = theirs.getSamples(false) as unknown as ArrayLike<number> | ArrayLike<number>[];
    const lists = channels === 1 ? [got as ArrayLike<number>] : (got as ArrayLike<number>[]);
    const read = many ? lists.map((values) => new Float32Array(Int32Array.from(values).buffer)) : lists;
    expect(read.map((values) => Array.from(values))).toEqual(raw.map((values) => Array.from(values)));
  });

  it.each(kinds)("writes what we read: %s bits, %i channels, %i Hz", (bits, channels, rate) => {
    const { raw, full } = sampled(bits, channels);
    const theirs = new WaveFile();
    theirs.fromScratch(channels, rate, bits === "float" ? "32f" : String(bits), (channels === 1 ? raw[0]! : raw) as unknown as number[]);
    const ours = parseWav(theirs.toBuffer(), { file: "theirs.wav" });
    expect(ours.sampleRate).toBe(rate);
    expect(ours.channels.map((values) => Array.from(values))).toEqual(full.map((values) => Array.from(values)));
  });

  it.each(["RIFX", "RF64"])("writes what we read: %s, 8 bits and 64-bit floating point", (container) => {
    for (const kind of ["8", "16", "64"] as const) {
      const values = kind === "8" ? [128, 0, 200, 17] : kind === "64" ? [0, 0.5, -0.25, 0.125] : [5, -700, 30_000, -32_000];
      const theirs = new WaveFile();
      theirs.fromScratch(2, 48_000, kind, values as unknown as number[], { container });
      const all = kind === "8" ? values.map((value) => (value - 128) / 128) : kind === "64" ? values : values.map((value) => value / 32768);
      const ours = parseWav(theirs.toBuffer(), { file: "theirs.wav" });
      expect(ours.channels.map((samples) => Array.from(samples))).toEqual([[all[0], all[2]], [all[1], all[3]]]);
    }
  });

  it.each(["8a", "8m", "4"])("compresses what we refuse: %s", (kind) => {
    const theirs = new WaveFile();
    theirs.fromScratch(1, 8000, "16", Array.from({ length: 1010 }, (_, i) => 100 * (i % 50)));
    if (kind === "8a") theirs.toALaw();
    else if (kind === "8m") theirs.toMuLaw();
    else theirs.toIMAADPCM();
    expect(() => parseWav(theirs.toBuffer(), { file: "theirs.wav" })).toThrow(/A-law|mu-law|ADPCM/);
  });
});

const hasSox = spawnSync("sox", ["--version"]).status === 0;
if (!hasSox) console.log("sox is not on this machine: the checks against it are left out (apt-get install sox)");

describe.runIf(hasSox)("sox, an independent program", () => {
  const folder = mkdtempSync(join(tmpdir(), "airpath-wav-"));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  const at = (name: string): string => join(folder, name);

  it.each(kinds)("reads what we write: %s bits, %i channels, %i Hz", (bits, channels, rate) => {
    const { raw, full } = sampled(bits, channels);
    writeFileSync(at("ours.wav"), writeWav({ channels: full, sampleRate: rate, bits }));
    const asked = (what: string): string => execFileSync("sox", ["--info", what, at("ours.wav")], { encoding: "utf8" }).trim();
    expect([asked("-r"), asked("-c"), asked("-s")]).toEqual([String(rate), String(channels), String(count)]);
    // floating point is held by this program as 32-bit whole numbers inside of full scale
    const form = bits === "float" ? ["-e", "floating-point", "-b", "32"] : ["-e", "signed-integer", "-b", String(bits)];
    const bytes = execFileSync("sox", [at("ours.wav"), "-t", "raw", ...form, "-L", "-"], { stdio: ["ignore", "pipe", "ignore"] });
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
    const size = bits === "float" ? 4 : bits / 8;
    const value = (i: number): number => (bits === "float" ? view.getFloat32(4 * i, true) : bits === 16 ? view.getInt16(2 * i, true) : bits === 24 ? view.getInt8(3 * i + 2) * 65536 + view.getUint16(3 * i, true) : view.getInt32(4 * i, true));
    expect(bytes.length).toBe(count * channels * size);
    for (let i = 0; i < count; i++) {
      for (let c = 0; c < channels; c++) {
        const wanted = raw[c]![i]!, got = value(i * channels + c);
        if (bits === "float") expect(Math.abs(got - Math.min(1, Math.max(-1, wanted)))).toBeLessThanOrEqual(2 ** -24);
        else expect(got).toBe(wanted);
      }
    }
  });

  it.each([["-b", "8", "-e", "unsigned-integer"], ["-b", "16"], ["-b", "24"], ["-b", "32"], ["-b", "32", "-e", "floating-point"], ["-b", "64", "-e", "floating-point"]].map((form) => [form]))("writes what we read: %s", (form) => {
    const bits = Number(form[1]), kept = Math.min(16, bits);
    const raw = integers(kept, 3);
    const view = new DataView(new ArrayBuffer(count * 3 * 2));
    raw.forEach((values, c) => values.forEach((value, i) => view.setInt16(2 * (3 * i + c), value * 2 ** (16 - kept), true)));
    writeFileSync(at("raw"), new Uint8Array(view.buffer));
    execFileSync("sox", ["-D", "-t", "raw", "-r", "48000", "-c", "3", "-e", "signed-integer", "-b", "16", "-L", at("raw"), ...form, at("theirs.wav")], { stdio: "ignore" });
    const ours = parseWav(readFileSync(at("theirs.wav")), { file: "theirs.wav" });
    expect(ours.channels.map((samples) => Array.from(samples))).toEqual(raw.map((values) => Array.from(scaled(values, kept))));
  });

  it("writes a stream without sizes that we read", () => {
    const bytes = execFileSync("sox", ["-D", "-r", "48000", "-n", "-b", "16", "-t", "wav", "-", "synth", "0.01", "sine", "1000", "vol", "0.5"], { stdio: ["ignore", "pipe", "ignore"] });
    const ours = parseWav(bytes, { file: "stream.wav" });
    expect(ours.channels[0]!.length).toBe(480);
    // a sine of half of full scale: 16-bit rounding of peak and RMS
    expect(ours.levels[0]!.peak).toBeCloseTo(0.5, 4);
    expect(ours.levels[0]!.rms).toBeCloseTo(0.5 / Math.SQRT2, 4);
  });
});
