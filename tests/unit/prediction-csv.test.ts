import { describe, expect, it } from "vitest";
import { lineOfText } from "../../kernel-helpers/share/line-of-text.js";
import { csvCell, predictionCsv } from "../../kernel-helpers/share/prediction-csv.js";
import { designFromJson } from "../../kernel-helpers/words/design-json.js";
import { predictDesignFile } from "../../kernel-helpers/words/design-file.js";
import { parseSweep } from "../../src/measure/sweep.js";
import type { Prediction } from "../../src/predict/predict.js";
import { demoDesigns, type Json, withValue } from "../support/sample-designs.js";

const demo = demoDesigns();
const predicted = (value: Json, frequencies = "20:400:30"): Prediction => predictDesignFile(designFromJson(value), { frequencies });
const csv = (value: Json, frequencies?: string): string => predictionCsv(predicted(value, frequencies), { version: "1.2.3" });
const vented = demo["vented-box.json"]!;

describe("the table of a prediction", () => {
  it("says under what it was made, in remarks", () => {
    const remarks = csv({ ...vented, drive: "60 W", sourceResistance: 0.25 }).split("\n").filter((line) => line.startsWith("#"));
    expect(remarks.slice(0, 11)).toEqual([
      "# design: demo vented box",
      "# kind: vented box",
      "# driver: demo 130 mm (invented)",
      "# drive: 15.4919334 V RMS, 60 W into 4 ohm",
      "# source resistance: 0.25 ohm",
      "# space: half space",
      "# distance: 1 m",
      "# air density: 1.2041 kg/m^3",
      "# sound speed: 343.2 m/s",
      "# made with: airpath 1.2.3",
      "# phase and group delay: travel time removed",
    ]);
    expect(remarks.slice(11).some((line) => /^# warning: the cone would move beyond Xmax/.test(line))).toBe(true);
    expect(remarks.slice(11).every((line) => /^# (warning|note): ./.test(line))).toBe(true);
  });

  it("has the columns in their units, nine digits, line feeds only", () => {
    const p = predicted(vented), text = predictionCsv(p, { version: "1" });
    const rows = text.split("\n").filter((line) => line !== "" && !line.startsWith("#"));
    expect(rows[0]).toBe("frequency (Hz),level (dB re 20 uPa),phase (degrees),group delay (ms),impedance (ohm),impedance phase (degrees),excursion (mm peak),air speed cone (m/s peak),air speed port (m/s peak)");
    expect(rows.length).toBe(31);
    rows.slice(1).forEach((row, i) => {
      const wanted = [
        p.frequencies[i]!,
        20 * Math.log10(Math.hypot(p.pressure.re[i]!, p.pressure.im[i]!) / 20e-6),
        (p.phase[i]! * 180) / Math.PI,
        p.groupDelay[i]! * 1e3,
        Math.hypot(p.impedance.re[i]!, p.impedance.im[i]!),
        (Math.atan2(p.impedance.im[i]!, p.impedance.re[i]!) * 180) / Math.PI,
        Math.SQRT2 * 1e3 * Math.hypot(p.coneDisplacement.re[i]!, p.coneDisplacement.im[i]!),
        ...p.openings.map((o) => (Math.SQRT2 * Math.hypot(o.volumeVelocity.re[i]!, o.volumeVelocity.im[i]!)) / o.area!),
      ];
      const got = row.split(",");
      expect(got.length).toBe(wanted.length);
      got.forEach((cell, c) => {
        expect(Math.abs(Number(cell) - wanted[c]!)).toBeLessThanOrEqual(6e-9 * Math.abs(wanted[c]!));
        expect(cell.replace(/e.*$/, "").replace(/[-.]/g, "").replace(/^0+/, "").length).toBeLessThanOrEqual(9);
      });
    });
    expect(text).not.toContain("\r");
    expect(text.endsWith("\n")).toBe(true);
    expect(text.endsWith("\n\n")).toBe(false);
    expect(csv(vented)).toBe(csv(structuredClone(vented)));
  });

  it("unwraps the phase", () => {
    const phases = csv(demo["tapped-horn.json"]!, "10:500:200").split("\n").filter((line) => /^\d/.test(line)).map((line) => Number(line.split(",")[2]));
    expect(Math.min(...phases)).toBeLessThan(-1000);
    for (let i = 1; i < phases.length; i++) expect(Math.abs(phases[i]! - phases[i - 1]!)).toBeLessThan(120);
  });

  it("leaves a cell empty where there is no pressure at all", () => {
    const p = predicted(vented);
    const silent = { ...p, level: p.level.map((level, i) => (i === 1 ? -Infinity : level)) };
    const row = predictionCsv(silent, { version: "1" }).split("\n").filter((line) => /^\d/.test(line))[1]!;
    expect(row.split(",")[1]).toBe("");
    expect(row).not.toMatch(/Infinity|NaN/);
  });

  it("keeps hostile names within their line and their cell", () => {
    const named = withValue(withValue(demo["own-network.json"]!, ["name"], 'a\n10,90,0\r\n"b", \u2028c\u202e\u0007'), ["enclosure", "elements", 3, "name"], 'side, "left"\nhole');
    const text = csv(named);
    expect(text.split("\n")[0]).toBe('# design: a 10,90,0 "b",  c');
    expect(text).toContain(',"air speed side, ""left"" hole (m/s peak)"\n');
    expect(text.split("\n").filter((line) => !line.startsWith("#") && line !== "").length).toBe(31);
  });

  it("leaves out openings without an area", () => {
    expect(csv(demo["own-network.json"]!)).not.toContain("cable hole");
    expect(csv(demo["own-network.json"]!)).toContain("air speed port (m/s peak)");
  });

  it.each(Object.keys(demo))("of %s is read by the reader of sweeps: level and phase, and impedance where asked", (name) => {
    const p = predicted(demo[name]!);
    const bytes = new TextEncoder().encode(predictionCsv(p, { version: "1" }));
    const sweep = parseSweep(bytes, { file: "prediction.csv" });
    expect(sweep.curve.quantity).toBe("sound pressure");
    expect(sweep.curve.phaseKnown).toBe(true);
    expect(sweep.rows).toBe(30);
    expect(sweep.notes).toEqual([]);
    const impedance = parseSweep(bytes, { file: "prediction.csv", quantity: "electrical impedance", columns: { value: "impedance (ohm)", phase: "impedance phase (degrees)" } }).curve;
    for (const [got, wanted] of [[sweep.curve, p.pressure], [impedance, p.impedance]] as const) {
      for (let i = 0; i < 30; i++) {
        const size = Math.hypot(wanted.re[i]!, wanted.im[i]!);
        expect(Math.hypot(got.re[i]! - wanted.re[i]!, got.im[i]! - wanted.im[i]!) / size).toBeLessThan(2e-7);
      }
    }
  });
});

describe("csvCell", () => {
  it("quotes what needs it and nothing else", () => {
    expect(csvCell("plain (m/s peak)")).toBe("plain (m/s peak)");
    expect(csvCell("a,b")).toBe('"a,b"');
    expect(csvCell('say "a"')).toBe('"say ""a"""');
    expect(csvCell("a\nb")).toBe('"a\nb"');
    expect(csvCell("a\rb")).toBe('"a\rb"');
    expect(csvCell(" a")).toBe('" a"');
    expect(csvCell("")).toBe("");
  });
});

describe("lineOfText", () => {
  it("takes out what breaks a line, moves a cursor or turns the writing", () => {
    expect(lineOfText("a\r\nb\u0000c\u001b[31md\u0085e\u2029f\u202eg\u2066h")).toBe("a b c [31md e f g h");
    expect(lineOfText("  Gr\u00fc\u00dfe \u{1f469}\u200d\u{1f52c} ")).toBe("Gr\u00fc\u00dfe \u{1f469}\u200d\u{1f52c}");
  });
});
