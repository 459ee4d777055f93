import type { Quantity } from "../../src/math/curve.js";
import type { ParseSweepOptions } from "../../src/measure/sweep.js";

/** What reading a case must give. */
export type Expected =
  | {
      /** rows of numbers */
      readonly rows: number;
      /** first and last frequency, Hz */
      readonly frequencies: readonly [number, number];
      /** first and last value: dB for pressure and correction, magnitude in the unit of the curve otherwise */
      readonly values: readonly [number, number];
      /** first and last phase in degrees, wrapped; undefined when the phase must not be known */
      readonly phases?: readonly [number, number];
      readonly quantity?: Quantity;
      /** texts that the notes must hold, one each; no other notes are allowed */
      readonly notes?: readonly RegExp[];
      /** what the report must hold */
      readonly report?: RegExp;
      readonly metadata?: Readonly<Record<string, string>>;
    }
  | {
      /** what the error must say came */
      readonly came: RegExp;
      readonly row?: number;
      readonly field?: string;
    };

/** One awkward file. */
export interface CorpusCase {
  /** says the fault */
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly options?: Partial<ParseSweepOptions>;
  readonly expected: Expected;
}

const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);
const latin1 = (text: string): Uint8Array => Uint8Array.from(text, (c) => c.charCodeAt(0));
const utf16 = (text: string, order: "le" | "be", mark: boolean): Uint8Array => {
  const codes = [...(mark ? "\ufeff" : "")].concat([...text]).map((c) => c.charCodeAt(0));
  return Uint8Array.from(codes.flatMap((c) => (order === "le" ? [c & 255, c >> 8] : [c >> 8, c & 255])));
};
const joined = (...parts: readonly (readonly number[] | Uint8Array)[]): Uint8Array => Uint8Array.from(parts.flatMap((part) => [...part]));

const plain = "frequency (Hz),level (dB),phase (degrees)\n20,83.5,-10\n25,84.25,0\n31.5,86,12.5\n";
const plainResult = { rows: 3, frequencies: [20, 31.5], values: [83.5, 86], phases: [-10, 12.5], notes: [] } as const;
const twoColumns = { rows: 3, frequencies: [20, 31.5], values: [83.5, 86], notes: [] } as const;
const guessed = /no headings: column 1 was taken as frequency, column 2 as level in dB/;
const text = (name: string, content: string, expected: Expected, options?: Partial<ParseSweepOptions>): CorpusCase => ({ name, bytes: utf8(content), expected, ...(options === undefined ? {} : { options }) });

const encodings: readonly CorpusCase[] = [
  text("plain-comma", plain, { ...plainResult, report: /^plain-comma.csv: read 3 rows, columns frequency \(Hz\), level \(dB re 20 uPa\), phase \(degrees\); comma between columns, decimal point$/ }),
  { name: "utf8-with-mark", bytes: joined([0xef, 0xbb, 0xbf], utf8(plain)), expected: { ...plainResult, report: /byte-order mark/ } },
  { name: "utf16-le-with-mark", bytes: utf16(plain, "le", true), expected: { ...plainResult, notes: [/UTF-16 LE \(by its byte-order mark/] } },
  { name: "utf16-be-with-mark", bytes: utf16(plain, "be", true), expected: { ...plainResult, notes: [/UTF-16 BE/] } },
  { name: "utf16-le-no-bom", bytes: utf16(plain, "le", false), expected: { ...plainResult, notes: [/UTF-16 LE \(no byte-order mark/] } },
  { name: "utf16-be-no-bom", bytes: utf16(plain, "be", false), expected: { ...plainResult, notes: [/UTF-16 BE \(no byte-order mark/] } },
  { name: "utf16-odd-byte-at-end", bytes: joined(utf16(plain, "le", true), [10]), expected: { ...plainResult, notes: [/odd byte was left out/] } },
  { name: "latin1-degree-sign", bytes: latin1("fr\u00e9quence (Hz);niveau (dB);phase (\u00b0)\n20;83,5;-10\n25;84,25;0\n31,5;86;12,5\n"), expected: { ...plainResult, notes: [/Windows-1252/] } },
  { name: "windows-1252-dash-as-minus", bytes: latin1("freq,level (dB),phase (deg)\n20,83.5,\u009610\n31.5,86,12.5\n".replace("\u0096", "\x96")), expected: { ...plainResult, rows: 2, notes: [/Windows-1252/] } },
  { name: "old-mac-line-ends", bytes: utf8(plain.replaceAll("\n", "\r")), expected: plainResult },
  { name: "windows-line-ends", bytes: utf8(plain.replaceAll("\n", "\r\n")), expected: plainResult },
  { name: "mixed-line-ends", bytes: utf8(plain.replace("\n", "\r").replace("\n25", "\r\n25")), expected: plainResult },
  { name: "no-end-of-last-line", bytes: utf8(plain.trimEnd()), expected: plainResult },
  { name: "end-of-file-sign", bytes: utf8(`${plain}\x1a`), expected: plainResult },
];

const binaries: readonly CorpusCase[] = [
  { name: "empty", bytes: new Uint8Array(0), expected: { came: /empty/ } },
  text("blanks-only", " \r\n\t\n", { came: /blanks only/ }),
  { name: "png-named-csv", bytes: joined([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10], utf8("rest")), expected: { came: /PNG picture/ } },
  { name: "jpeg-named-csv", bytes: Uint8Array.of(0xff, 0xd8, 0xff, 0xe0, 1, 2), expected: { came: /JPEG picture/ } },
  { name: "workbook-named-csv", bytes: joined(utf8("PK"), [3, 4], utf8("xl/workbook.xml")), expected: { came: /spreadsheet workbook/ } },
  { name: "wav-named-csv", bytes: utf8("RIFF\x24\x08\x01\x02WAVEfmt "), expected: { came: /WAV recording/ } },
  { name: "pdf-named-csv", bytes: utf8("%PDF-1.7\n1 0 obj"), expected: { came: /PDF document/ } },
  { name: "gzip-named-csv", bytes: Uint8Array.of(0x1f, 0x8b, 8, 0, 0), expected: { came: /gzip/ } },
  { name: "binary-floats", bytes: new Uint8Array(Float32Array.of(20, 83.5, 25, 84.25, 31.5, 86).buffer), expected: { came: /not text \(control character/ } },
  text("web-page", "<!DOCTYPE html>\n<html><body>20,83.5</body></html>", { came: /web page/ }),
  text("json", '{ "frequency": [20, 25], "level": [83, 84] }', { came: /JSON/ }),
  { name: "utf32", bytes: Uint8Array.of(0xff, 0xfe, 0, 0, 0x32, 0, 0, 0), expected: { came: /UTF-32/ } },
];

const delimiters: readonly CorpusCase[] = [
  text("decimal-comma-semicolon", "Frequenz [Hz];Pegel [dB];Phase [Grad]\n20;83,5;-10\n25;84,25;0\n31,5;86;12,5\n".replace("[Grad]", "[\u00b0]"), { ...plainResult, report: /semicolon between columns, decimal comma/ }),
  text("decimal-comma-tab", "f / Hz\tL / dB\n20\t83,5\n25\t84,25\n31,5\t86\n", { ...twoColumns, report: /tab between columns, decimal comma/ }),
  text("decimal-comma-space", "Hz dB\n20,0 83,5\n25,0 84,25\n31,5 86\n", twoColumns),
  text("decimal-comma-quoted", '"freq (Hz)","SPL (dB)"\n"20","83,5"\n"25","84,25"\n"31,5","86"\n', { ...twoColumns, report: /comma between columns, decimal comma/ }),
  text("comma-and-blank", "freq (Hz), SPL (dB)\n20, 83.5\n25, 84.25\n31.5, 86\n", twoColumns),
  text("aligned-columns", "   freq (Hz)    SPL (dB)   phase (deg)\n        20.0     83.50        -10.0\n        25.0     84.25          0.0\n        31.5     86.00         12.5\n", { ...plainResult, report: /blanks between columns/ }),
  text("blanks-and-tabs-mixed", "freq (Hz) SPL (dB) phase (deg)\n20 \t83.5\t -10\n25  84.25 0\n31.5\t86 12.5\n", plainResult),
  text("vertical-bars", "| frequency (Hz) | level (dB) |\n|---|---|\n| 20 | 83.5 |\n| 25 | 84.25 |\n| 31.5 | 86 |\n", { ...twoColumns, report: /bar between columns.*skipped 1 line/ }),
  text("trailing-delimiters", "frequency (Hz);level (dB);\n20;83,5;\n25;84,25;\n31,5;86;\n", twoColumns),
  text("trailing-delimiters-rows-only", "freq,spl (dB)\n20,83.5,\n25,84.25,\n31.5,86,\n", twoColumns),
  text("headings-comma-rows-blank", "freq (Hz),SPL (dB),phase (deg)\n20 83.5 -10\n25 84.25 0\n31.5 86 12.5\n", plainResult),
  text("units-after-a-comma", "frequency, Hz, level, dB\n20,83.5\n25,84.25\n31.5,86\n", twoColumns),
  text("four-numbers-with-decimal-comma", "20,5,83,2\n21,5,84,1\n22,5,85,3\n", { came: /whole numbers between commas, 4 in a row/ }),
  text("four-numbers-told-to-be-whole", "20,5,83,2\n21,5,84,1\n22,5,85,3\n", { rows: 3, frequencies: [20, 22], values: [5, 5], phases: [83, 85], notes: [guessed, /if they are kHz/] }, { decimal: "point" }),
  text("mixed-decimal-signs", "freq;level (dB)\n20,5;83.2\n21,5;84.2\n", { came: /do not have the same decimal sign/, row: 2 }),
  text("comma-may-be-thousands", "freq (Hz);level (dB)\n500;83\n1,000;84\n2,000;85\n", { rows: 3, frequencies: [500, 2000], values: [83, 85], notes: [/^"1,000" in row 3 was read as thousands: only so are the frequencies in order; say decimal: "comma" if that is wrong$/] }),
  text("comma-told-to-be-thousands", "freq (Hz);level (dB)\n500;83\n1,000;84\n2,000;85\n", { rows: 3, frequencies: [500, 2000], values: [83, 85], notes: [/thousands signs were recognised, as in "1,000" in row 3/] }, { decimal: "point" }),
  text("point-may-be-thousands", "freq (Hz);level (dB)\n500;83\n1.000;84\n2.000;85\n", { rows: 3, frequencies: [500, 2000], values: [83, 85], notes: [/^"1.000" in row 3 was read as thousands: only so are the frequencies in order; say decimal: "point" if that is wrong$/] }),
  text("point-thousands-descending", "freq (Hz);level (dB)\n2.000;85\n1.000;84\n500;83\n", { rows: 3, frequencies: [500, 2000], values: [83, 85], notes: [/was read as thousands/, /descend/] }),
  text("point-thousands-in-every-row", "freq (Hz);level (dB)\n1.000;80\n2.000;81\n4.000;82\n", { came: /"1.000" may be a decimal or a thousands point/, row: 2 }),
  text("point-thousands-in-every-row-between-tabs", "1.000\t80\n2.000\t81\n4.000\t82\n", { came: /"1.000" may be a decimal or a thousands point/, row: 1 }),
  text("point-told-to-be-thousands", "freq (Hz);level (dB)\n1.000;80\n2.000;81\n", { rows: 2, frequencies: [1000, 2000], values: [80, 81], notes: [/thousands signs were recognised/] }, { decimal: "comma" }),
  text("point-told-to-be-decimal", "freq (Hz);level (dB)\n1.000;80\n2.000;81\n", { rows: 2, frequencies: [1, 2], values: [80, 81], notes: [] }, { decimal: "point" }),
  text("point-decimals-in-kilohertz", "freq (kHz);level (dB)\n1.000;80\n2.000;81\n", { rows: 2, frequencies: [1000, 2000], values: [80, 81], notes: [/"1.000" in row 2 was read as a number with decimals: as thousands the frequencies would reach 2000000 Hz/] }),
  text("point-decimals-beyond-all-sweeps", "freq (Hz);level (dB)\n20.000;80\n250.000;81\n", { rows: 2, frequencies: [20, 250], values: [80, 81], notes: [/as thousands the frequencies would reach 250000 Hz; say decimal: "comma" if that is wrong/] }),
  text("point-decimals-beside-long-numbers", "freq (Hz);level (dB)\n500.000;80\n1000;81\n", { rows: 2, frequencies: [500, 1000], values: [80, 81], notes: [/other frequencies have four digits without a sign/] }),
  text("point-decimals-in-values-too", "freq (Hz);level (dB)\n20.000;83.500\n25.000;84.250\n", { rows: 2, frequencies: [20, 25], values: [83.5, 84.25], notes: [] }),
  text("thousands-point-decimal-comma", "freq (Hz);level (dB)\n500;83,5\n1.000;84,5\n12.500,5;85\n", { rows: 3, frequencies: [500, 12500.5], values: [83.5, 85], notes: [/thousands signs/] }),
  text("thousands-comma-beside-decimal-point", "freq (Hz)\tlevel (dB)\n500\t83.5\n1,000\t84.5\n2,000\t85.5\n", { rows: 3, frequencies: [500, 2000], values: [83.5, 85.5], notes: [/thousands signs/] }),
  text("thousands-blank", "freq (Hz);level (dB)\n500;83,5\n1\u00a0000;84,5\n2 000;85\n", { rows: 3, frequencies: [500, 2000], values: [83.5, 85], notes: [/thousands signs/] }),
  text("thousands-blank-between-blanks", "500 83.5\n1 000 84.5\n2 000 85.5\n", { came: /looks like one number|cells/ }),
  text("thousands-comma-between-commas", "freq (Hz),level (dB)\n500,83.5\n1,000,84.5\n", { came: /"1,000" looks like one number/, row: 3 }),
  text("point-in-commas-that-mean-decimals", "freq;level (dB);phase (deg)\n20,5;83,25;-174.790\n21,5;84,25;-170.110\n", { came: /do not have the same decimal sign/ }),
  text("three-decimals-everywhere", "freq (Hz);level (dB)\n20,125;83,500\n25,250;84,250\n31,500;86,000\n", { rows: 3, frequencies: [20.125, 31.5], values: [83.5, 86], notes: [] }),
];

const lines: readonly CorpusCase[] = [
  ...["#", "*", ";", "!", "%", "//", "REM ", '"', "'"].map((sign) =>
    text(`comments-${sign.trim().replace(/[^a-z]/gi, (c) => c.charCodeAt(0).toString(16))}`, `${sign} made up for a test\n${sign} place: bench\nfreq (Hz),SPL (dB)\n20,83.5\n${sign} a pause\n25,84.25\n31.5,86\n${sign} end\n`, { ...twoColumns, metadata: { place: "bench" }, report: /skipped 4 lines/ }),
  ),
  text("semicolon-comments-in-semicolon-table", "; place: bench\nfreq;SPL (dB)\n20;83,5\n; a pause, 3 s\n25;84,25\n;84,5\n31,5;86\n", { ...twoColumns, metadata: { place: "bench" }, report: /skipped 2 lines \(1, 4\); left out 1 row with a blank cell \(line 6\)/ }),
  text("prose-before-and-after", "Bench test of 3 May\nplace: bench\npoints = 3\nDate;3 May\nfreq (Hz);SPL (dB)\n20;83,5\n25;84,25\n31,5;86\nend: yes\n", { ...twoColumns, metadata: { place: "bench", points: "3", Date: "3 May", end: "yes" } }),
  text("headings-in-a-comment", "* bench\n* Freq(Hz) SPL(dB) Phase(degrees)\n*\n20 83.5 -10\n25 84.25 0\n31.5 86 12.5\n", plainResult),
  text("units-in-a-comment", "# frequency in kHz, level in dB, phase in radians\nfrequency\tlevel\tphase\n0.02\t83.5\t1\n0.025\t84.25\t0\n0.0315\t86\t-1\n", { rows: 3, frequencies: [20, 31.5], values: [83.5, 86], phases: [180 / Math.PI, -180 / Math.PI], notes: [] }),
  text("units-row", "frequency;level;phase\nHz;dB;deg\n20;83.5;-10\n25;84.25;0\n31.5;86;12.5\n", plainResult),
  text("units-row-half-filled", "frequency;SPL (dB)\nkHz;-\n0.02;83.5\n0.025;84.25\n0.0315;86\n", twoColumns),
  text("units-row-unknown-names", "x;y\n(kHz);(dB)\n0.02;83.5\n0.025;84.25\n0.0315;86\n", twoColumns),
  text("heading-broken-in-quotes", '"Frequency\n(Hz)","Level\n(dB)"\n20,83.5\n25,84.25\n31.5,86\n', twoColumns),
  text("ruled-table", "+------+------+\nfreq | SPL (dB)\n-----+------\n20 | 83.5\n25 | 84.25\n31.5 | 86\n=====\n", twoColumns),
  text("lone-numbers-before-headings", "48000 16\nfreq SPL(dB)\n20 83.5\n25 84.25\n31.5 86\n", { ...twoColumns, notes: [/numbers in row 1, before the headings, were not read/] }),
  text("two-tables", "freq,SPL (dB)\n20,83.5\n25,84.25\nfreq,SPL (dB)\n20,83.5\n25,84.25\n", { came: /headings after rows of numbers/, row: 4 }),
  text("blank-lines-everywhere", "\n\nfreq,SPL (dB)\n\n20,83.5\n\n\n25,84.25\n  \n31.5,86\n\n", twoColumns),
];

const columns: readonly CorpusCase[] = [
  text("any-order", "phase (deg),SPL (dB),freq (Hz)\n-10,83.5,20\n0,84.25,25\n12.5,86,31.5\n", plainResult),
  text("kilohertz-and-radians", "Frequency (kHz);Phase (rad);Level (dB)\n0,02;1;83,5\n0,0315;-1;86\n", { rows: 2, frequencies: [20, 31.5], values: [83.5, 86], phases: [180 / Math.PI, -180 / Math.PI], notes: [] }),
  text("pressure-in-pascal", "f (Hz),pressure (mPa)\n20,20\n40,2\n", { rows: 2, frequencies: [20, 40], values: [60, 40], notes: [] }),
  text("level-re-one-pascal", "f (Hz),level (dB re 1 Pa)\n20,0\n40,-20\n", { rows: 2, frequencies: [20, 40], values: [93.97940008672037, 73.97940008672037], notes: [] }),
  text("weighted-levels", "f (Hz),level dB(A)\n20,50\n40,60\n", { rows: 2, frequencies: [20, 40], values: [50, 60], notes: [/A-weighted/] }),
  text("relative-levels-full-scale", "f (Hz),level (dBFS)\n20,-50\n40,-60\n", { rows: 2, frequencies: [20, 40], values: [-50, -60], notes: [/relative to full scale \(dBFS\), no sound pressure levels/], report: /relative level \(dBFS\)/ }),
  text("relative-levels-volts", "f (Hz);Level [dBV]\n20;-50\n40;-60\n", { rows: 2, frequencies: [20, 40], values: [-50, -60], notes: [/relative to 1 V \(dBV\)/], report: /relative level \(dBV\)/ }),
  text("relative-levels-unloaded-volts", "f (Hz);Level (dBu)\n20;-50\n40;-60\n", { rows: 2, frequencies: [20, 40], values: [-50, -60], notes: [/relative to 0.775 V \(dBu\)/] }),
  text("relative-levels-of-unknown-reference", "f (Hz);Level (dB re 1 mV/Pa)\n20;-50\n40;-60\n", { rows: 2, frequencies: [20, 40], values: [-50, -60], notes: [/relative to 1mv\/pa/] }),
  text("decibels-of-no-known-kind", "f (Hz),level (dBq)\n20,-50\n40,-60\n", { came: /the unit "dBq" is not known/ }),
  text("level-without-unit", "frequency,level\n20,83.5\n25,84\n31.5,86\n40,87\n", { rows: 4, frequencies: [20, 40], values: [83.5, 87], notes: [/"level" has no unit; dB was taken/] }),
  text("magnitude-without-unit", "freq,mag,phase\n20,83.5,0\n31.5,86,0\n", { came: /value without a unit/, field: "mag" }),
  text("magnitude-told-to-be-impedance", "freq,mag,phase (deg)\n20,5,60\n40,8,-60\n", { rows: 2, frequencies: [20, 40], values: [5, 8], phases: [60, -60], quantity: "electrical impedance", notes: [/"mag" has no unit; ohm was taken/] }, { quantity: "electrical impedance" }),
  text("impedance", "Frequenz (Hz);Impedanz (\u03a9);Phase (\u00b0)\n20;5,5;30\n40;8;-20\n", { rows: 2, frequencies: [20, 40], values: [5.5, 8], phases: [30, -20], quantity: "electrical impedance", notes: [] }),
  text("impedance-absolute-signs", "Freq(Hz)\t|Z|(ohm)\n20\t5.5\n40\t8\n", { rows: 2, frequencies: [20, 40], values: [5.5, 8], quantity: "electrical impedance", notes: [] }),
  text("impedance-real-imaginary", "f,Re(Z) (ohm),Im(Z) (ohm)\n20,3,4\n40,6,-8\n", { rows: 2, frequencies: [20, 40], values: [5, 10], phases: [53.13010235415598, -53.13010235415598], quantity: "electrical impedance", notes: [] }),
  text("resistance-reactance", "frecuencia (Hz);resistencia (ohm);reactancia (ohm)\n20;3;4\n40;6;-8\n", { rows: 2, frequencies: [20, 40], values: [5, 10], phases: [53.13010235415598, -53.13010235415598], quantity: "electrical impedance", notes: [] }),
  text("real-without-imaginary", "f,real (ohm)\n20,3\n40,6\n", { came: /without an imaginary part/ }),
  text("negative-impedance", "f,Z (ohm)\n20,3\n40,-6\n", { came: /negative magnitude/, row: 3, field: "Z (ohm)" }),
  text("microphone-correction", "# subtract from what was read\nfrequency (Hz),deviation (dB)\n10,-2.5\n1000,0.5\n", { rows: 2, frequencies: [10, 1000], values: [-2.5, 0.5], quantity: "correction", notes: [] }),
  text("several-levels", "freq (Hz),left (dB),right (dB)\n20,83.5,1\n31.5,86,2\n", { rows: 2, frequencies: [20, 31.5], values: [83.5, 86], notes: [/"left \(dB\)" was read.*not read: "right \(dB\)"/] }),
  text("several-levels-one-named", "freq (Hz),left (dB),right (dB)\n20,83.5,1\n31.5,86,2\n", { rows: 2, frequencies: [20, 31.5], values: [1, 2], notes: [] }, { columns: { value: "right" } }),
  text("column-of-words", "freq,verdict,SPL (dB)\n20,good,83.5\n31.5,\"bad, really\",86\n", { rows: 2, frequencies: [20, 31.5], values: [83.5, 86], notes: [] }),
  text("unknown-headings", "a,b\n20,83.5\n31.5,86\n", { came: /headings "a", "b"/, row: 1 }),
  text("frequency-in-turns-a-minute", "frequency (rpm),level (dB)\n1200,83.5\n1800,86\n", { came: /unit "rpm" is not known/ }),
  text("french", "Fr\u00e9quence (Hz);Niveau (dB);Phase (\u00b0)\n20;83,5;-10\n25;84,25;0\n31,5;86;12,5\n", plainResult),
  text("italian", "Frequenza (Hz);Livello (dB);Fase (gradi)\n20;83,5;-10\n25;84,25;0\n31,5;86;12,5\n", plainResult),
  text("spanish", "Frecuencia_Hz;Nivel_dB;Fase_deg\n20;83,5;-10\n25;84,25;0\n31,5;86;12,5\n", plainResult),
];

const cells: readonly CorpusCase[] = [
  text("no-headings", "20\t83.5\t-10\n25\t84.25\t0\n31.5\t86\t12.5\n", { ...plainResult, notes: [guessed], report: /no headings/ }),
  text("no-headings-not-in-order", "83,20\n84,10\n85,30\n82,25\n", { came: /neither ascends nor descends/ }),
  text("blank-cells", "freq,SPL (dB)\n20,83.5\n21,\n22,-\n23,n/a\n24,NaN\n31.5,86\n", { rows: 2, frequencies: [20, 31.5], values: [83.5, 86], notes: [], report: /left out 4 rows with a blank cell/ }),
  text("text-in-a-cell", "freq,SPL (dB)\n20,83.5\n25,loud\n31.5,86\n", { came: /"loud" is not a number/, row: 3, field: "SPL (dB)" }),
  text("text-in-the-first-row", "freq,SPL (dB)\n20,loud\n25,84\n31.5,86\n", { came: /"loud" is not a number/, row: 2 }),
  text("text-in-the-first-row-no-headings", "20,loud\n25,84\n31.5,86\n", { came: /"loud" is not a number/, row: 1 }),
  text("unit-in-a-cell", "freq,SPL (dB)\n20 Hz,83.5\n25,84\n31.5,86\n", { came: /"20 Hz" is not a number/, row: 2, field: "freq" }),
  text("infinity", "freq,SPL (dB)\n20,-inf\n25,84\n31.5,86\n", { came: /"-inf" is not a finite number/, row: 2 }),
  text("exponent-too-large", "freq,SPL (dB)\n20,83\n25,1e999\n", { came: /not a finite number/, row: 3 }),
  text("absurd-level", "freq,SPL (dB)\n20,83\n25,83000\n", { came: /level of 83000 dB/, row: 3 }),
  text("exponents", "freq (Hz),SPL (dB),phase (deg)\n2.0e+01,8.35E1,-1.0D+01\n2.5E1,8425e-2,0\n3.15d1,0.86E+2,1.25e1\n", plainResult),
  text("exponents-decimal-comma", "freq (Hz);SPL (dB)\n2,0E1;8,35e+1\n2,5E1;84,25\n3,15e1;86\n", twoColumns),
  text("signs", "freq (Hz),SPL (dB),phase (deg)\n+20,+83.5,\u221210\n25,84.25,0\n31.5,86,+12.5\n", plainResult),
  text("duplicates", "freq (Hz),SPL (dB)\n20,80\n40,80\n40,86.9897000433602\n", { rows: 3, frequencies: [20, 40], values: [80, 84.77121254719662], notes: [/1 row has the frequency of another one; merged by the mean of their powers/] }),
  text("descending", "freq,SPL (dB)\n31.5,86\n25,84.25\n20,83.5\n", { ...twoColumns, notes: [/descend/] }),
  text("not-in-order", "freq,SPL (dB)\n25,84.25\n31.5,86\n20,83.5\n", { ...twoColumns, notes: [/sorted/] }),
  text("zero-hertz", "freq,SPL (dB)\n0,-20\n20,83.5\n25,84.25\n31.5,86\n", { ...twoColumns, notes: [/1 row at 0 Hz left out/] }),
  text("negative-frequency", "freq,SPL (dB)\n-20,80\n20,83.5\n25,84\n", { came: /a frequency of -20/, row: 2, field: "freq" }),
  text("too-few-cells", "freq,SPL (dB),phase (deg)\n20,83.5,0\n25,84\n31.5,86,0\n", { came: /2 cells/, row: 3 }),
  text("too-many-cells", "freq,SPL (dB)\n20,83.5\n25,84,7\n31.5,86\n", { came: /3 cells/, row: 3 }),
  text("cut-off-last-row", "freq,SPL (dB)\n20,83.5\n25,84\n31", { came: /1 cell/, row: 4 }),
  text("one-column", "83.5\n84\n86\n", { came: /one column of numbers/ }),
  text("one-column-with-heading", "SPL (dB)\n83.5\n84\n86\n", { came: /one column of numbers/ }),
  text("one-row", "freq,SPL (dB)\n20,83.5\n", { came: /1 row of numbers/ }),
  text("headings-only", "freq,SPL (dB)\n", { came: /no rows/ }),
  text("no-numbers", "Dear reader,\nthe sweep is in the other file.\n", { came: /no rows/ }),
  text("one-frequency", "freq,SPL (dB)\n20,83.5\n20,84\n", { came: /rows at 20 Hz only/ }),
  text("open-quotation-mark", 'freq,SPL (dB)\n20,83.5\n25,"84\n31.5,86\n', { came: /quotation mark/, row: 3 }),
  text("everything-in-one-line", `freq,SPL (dB)\n${"20,83.5,".repeat(4000)}\n`, { came: /a line of 32000 characters/, row: 2 }),
  text("key-named-proto", "__proto__: x\nconstructor: y\nfreq,SPL (dB)\n20,83.5\n25,84.25\n31.5,86\n", { ...twoColumns, metadata: { constructor: "y" } }),
  text("markup-in-headings", "freq,<b>SPL</b> (dB)\n20,83.5\n25,84.25\n31.5,86\n", twoColumns),
  text("kilohertz-not-said", "frequency,level (dB)\n0.02,83\n20,86\n", { rows: 2, frequencies: [0.02, 20], values: [83, 86], notes: [/if they are kHz/] }),
];

/** Every awkward file, by name; all invented. */
export const corpus: readonly CorpusCase[] = [...encodings, ...binaries, ...delimiters, ...lines, ...columns, ...cells];
