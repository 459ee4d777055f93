import type { Quantity } from "../../src/math/curve.js";
import type { ParseImpulseOptions } from "../../src/measure/impulse-text.js";
import type { ParseSweepsOptions } from "../../src/measure/sweeps.js";

/** One trace that reading must give. */
export interface ExpectedTrace {
  readonly name: string;
  readonly rows: number;
  /** first and last frequency, Hz */
  readonly frequencies: readonly [number, number];
  /** first and last value: dB for pressure and correction, magnitude in the unit of the curve otherwise */
  readonly values: readonly [number, number];
  /** first and last phase in degrees, wrapped; undefined when the phase must not be known */
  readonly phases?: readonly [number, number];
  readonly quantity?: Quantity;
}

export interface Refusal {
  /** what the error must say came */
  readonly came: RegExp;
  readonly row?: number;
}

/** One awkward file of several traces. */
export interface TraceCase {
  /** says the fault */
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly options?: Partial<ParseSweepsOptions>;
  readonly expected: { readonly traces: readonly ExpectedTrace[]; readonly notes?: readonly RegExp[]; readonly metadata?: Readonly<Record<string, string>> } | Refusal;
}

/** One awkward file with an impulse response. */
export interface ImpulseCase {
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly options?: Partial<ParseImpulseOptions>;
  readonly expected: { readonly samples: readonly number[]; readonly rate: number; readonly zeroIndex?: number; readonly unit?: string; readonly notes?: readonly RegExp[] } | Refusal;
}

const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);
const marked = (text: string): Uint8Array => Uint8Array.of(0xef, 0xbb, 0xbf, ...utf8(text));
const utf16 = (text: string): Uint8Array => Uint8Array.from([0xff, 0xfe, ...[...text].flatMap((c) => [c.charCodeAt(0) & 255, c.charCodeAt(0) >> 8])]);
const traces = (name: string, text: string | Uint8Array, expected: TraceCase["expected"], options?: TraceCase["options"]): TraceCase => ({ name, bytes: typeof text === "string" ? utf8(text) : text, expected, ...(options === undefined ? {} : { options }) });
const impulse = (name: string, text: string | Uint8Array, expected: ImpulseCase["expected"], options?: ImpulseCase["options"]): ImpulseCase => ({ name, bytes: typeof text === "string" ? utf8(text) : text, expected, ...(options === undefined ? {} : { options }) });

const three = (name: string, first: number, last: number): ExpectedTrace => ({ name, rows: 3, frequencies: [20, 31.5], values: [first, last] });
const left = three("left level", 80, 82), right = three("right level", 90, 92);
const both = "frequency (Hz),left level (dB),right level (dB)\n20,80,90\n25,81,91\n31.5,82,92\n";

/** Files with several traces. */
export const traceCorpus: readonly TraceCase[] = [
  traces("two-levels", both, { traces: [left, right], notes: [] }),
  traces("two-levels-with-mark", marked(both), { traces: [left, right] }),
  traces("two-levels-utf16", utf16(both), { traces: [left, right] }),
  traces("german-decimals", "Frequenz [Hz];Pegel links [dB];Pegel rechts [dB]\n20;80,5;90,25\n25;81;91\n31,5;82;92\n", { traces: [three("Pegel links", 80.5, 82), three("Pegel rechts", 90.25, 92)], notes: [] }),
  traces("decimal-comma-told-by-the-other-trace", "freq (Hz);A level (dB);B level (dB)\n20;80,125;90,5\n25;81,125;91,5\n31,5;82,125;92,5\n", { traces: [three("A level", 80.125, 82.125), three("B level", 90.5, 92.5)], notes: [] }),
  traces("decimal-signs-differ-between-traces", "freq (Hz);A level (dB);B level (dB)\n20;80.5;90,5\n25;81.5;91,5\n", { came: /do not have the same decimal sign/ }),
  traces("duplicated-headings", "freq (Hz)\tSPL (dB)\tSPL (dB)\n20\t80\t90\n25\t81\t91\n31.5\t82\t92\n", { traces: [three("SPL 1", 80, 82), three("SPL 2", 90, 92)], notes: [] }),
  traces("each-level-with-its-phase", "freq,L1 (dB),phase 1 (deg),L2 (dB),phase 2 (deg)\n20,80,-10,90,5\n25,81,-20,91,6\n31.5,82,-30,92,7\n", { traces: [{ ...three("L1", 80, 82), phases: [-10, -30] }, { ...three("L2", 90, 92), phases: [5, 7] }], notes: [] }),
  traces("levels-first-then-phases", "freq (Hz),left level (dB),right level (dB),left phase (deg),right phase (deg)\n20,80,90,-10,5\n25,81,91,-20,6\n31.5,82,92,-30,7\n", { traces: [{ ...left, phases: [-10, -30] }, { ...right, phases: [5, 7] }] }),
  traces("one-phase-for-the-second-level", "freq (Hz),left level (dB),right level (dB),phase (deg)\n20,80,90,5\n25,81,91,6\n31.5,82,92,7\n", { traces: [left, { ...right, phases: [5, 7] }], notes: [] }),
  traces("phase-unwrapped-radians", "freq (Hz);level (dB);phase (rad)\n20;80;-9,42477796076938\n25;81;-20\n31,5;82;-12,566370614359172\n", { traces: [{ ...three("phase-unwrapped-radians", 80, 82), phases: [180, 0] }] }),
  traces("impedance-magnitude-and-phase-twice", "freq (Hz),driver A |Z| (ohm),driver A phase (deg),driver B |Z| (ohm),driver B phase (deg)\n20,4,10,8,20\n25,5,0,9,0\n31.5,6,-10,10,-20\n", { traces: [{ ...three("driver A |Z|", 4, 6), phases: [10, -10], quantity: "electrical impedance" }, { ...three("driver B |Z|", 8, 10), phases: [20, -20], quantity: "electrical impedance" }], notes: [] }),
  traces("real-and-imaginary-twice", "freq (Hz);Re(Z1) (ohm);Im(Z1) (ohm);Re(Z2) (ohm);Im(Z2) (ohm)\n20;3;4;6;8\n25;3;0;6;0\n31,5;3;-4;6;-8\n", { traces: [{ ...three("Re(Z1)", 5, 5), quantity: "electrical impedance", phases: [53.13010235415598, -53.13010235415598] }, { ...three("Re(Z2)", 10, 10), quantity: "electrical impedance", phases: [53.13010235415598, -53.13010235415598] }] }),
  traces("real-without-imaginary", "freq (Hz);Re (ohm);level (dB)\n20;3;80\n25;3;81\n", { came: /real part without an imaginary part/ }),
  traces("pairs-with-different-grids", "freq (Hz);left (dB);freq (Hz);right (dB)\n20;80;100;90\n25;81;200;91\n31,5;82;400;92\n;;800;93\n", { traces: [three("left", 80, 82), { name: "right", rows: 4, frequencies: [100, 800], values: [90, 93] }], notes: [] }),
  traces("pairs-where-rows-end-early", "freq (Hz)\tlong (dB)\tfreq (Hz)\tshort (dB)\n20\t80\t100\t90\n25\t81\t200\t91\n31.5\t82\n", { traces: [three("long", 80, 82), { name: "short", rows: 2, frequencies: [100, 200], values: [90, 91] }], notes: [/1 rows end before the last trace/] }),
  traces("names-over-pairs", "Left;;Right;\nHz;dB;Hz;dB\n20;80;20;90\n25;81;25;91\n31,5;82;31,5;92\n", { traces: [three("Left", 80, 82), three("Right", 90, 92)] }),
  traces("pairs-without-headings", "20;80;20;90\n25;81;25;91\n31,5;82;31,5;92\n40;83;40;93\n", { traces: [{ ...three("pairs-without-headings 1", 80, 83), rows: 4, frequencies: [20, 40] }, { ...three("pairs-without-headings 2", 90, 93), rows: 4, frequencies: [20, 40] }] }),
  traces("four-columns-without-headings", "20;80;90;85\n25;81;91;84\n31,5;82;92;86\n", { came: /4 columns without headings/ }),
  traces("four-columns-with-a-layout", "20;80;90;85\n25;81;91;84\n31,5;82;92;86\n", { traces: [three("four-columns-with-a-layout 1", 80, 82), three("four-columns-with-a-layout 2", 90, 92), three("four-columns-with-a-layout 3", 85, 86)] }, { layout: "levels" }),
  traces("layout-that-does-not-fit", "20;80;90;85\n25;81;91;84\n", { came: /4 columns without headings/ }, { layout: "levels and phases" }),
  traces("missing-cells-in-one-trace", "frequency (Hz),left level (dB),right level (dB)\n20,80,90\n25,,91\n31.5,82,92\n", { traces: [{ ...left, rows: 2 }, right], notes: [] }),
  traces("one-trace-empty", "frequency (Hz),left level (dB),right level (dB)\n20,80,\n25,81,\n31.5,82,\n", { traces: [left], notes: [/"right level" was left out/] }),
  traces("bad-cell-in-the-second-trace", "frequency (Hz),left level (dB),right level (dB)\n20,80,90\n25,81,x91\n31.5,82,92\n", { came: /"x91" is not a number/, row: 3 }),
  traces("infinite-cell-in-the-second-trace", "frequency (Hz),left level (dB),right level (dB)\n20,80,90\n25,81,-inf\n31.5,82,92\n", { came: /not a finite number/, row: 3 }),
  traces("huge-exponents", "frequency (Hz),left (ohm),right (ohm)\n2e1,8e0,1.5e300\n2.5E+1,8.1e0,1.6e300\n3.15D1,8.2e0,1.7e300\n", { traces: [{ ...three("left", 8, 8.2), quantity: "electrical impedance" }, { ...three("right", 1.5e300, 1.7e300), quantity: "electrical impedance" }] }),
  traces("exponent-out-of-range", "frequency (Hz),left (ohm),right (ohm)\n20,8,1e400\n25,8,9\n", { came: /not a finite number/, row: 2 }),
  traces("blocks-with-headings", "left seat\nfrequency (Hz),level (dB)\n20,80\n25,81\n31.5,82\n\nright seat\nfrequency (Hz),level (dB)\n20,90\n25,91\n31.5,92\n", { traces: [three("left seat", 80, 82), three("right seat", 90, 92)], notes: [] }),
  traces("blocks-share-headings", "frequency (Hz);level (dB)\n20;80\n25;81\n31,5;82\n\n20;90\n25;91\n31,5;92\n", { traces: [three("blocks-share-headings 1", 80, 82), three("blocks-share-headings 2", 90, 92)], notes: [/have no headings; those of row 1 were taken/] }),
  traces("blocks-with-a-line-of-text-between", "frequency (Hz) level (dB)\n20 80\n25 81\n31.5 82\nright seat\n20 90\n25 91\n31.5 92\n", { traces: [three("blocks-with-a-line-of-text-between", 80, 82), three("right seat", 90, 92)] }),
  traces("blocks-without-anything-between", "frequency (Hz),level (dB)\n20,80\n25,81\n31.5,82\n20,90\n25,91\n31.5,92\n", { traces: [three("blocks-without-anything-between 1", 80, 82), three("blocks-without-anything-between 2", 90, 92)], notes: [/have no headings/, /starts again in row 5/] }),
  traces("blocks-with-different-separators", "# left\nfrequency (Hz);level (dB)\n20;80,5\n25;81,5\n31,5;82,5\n\n# right\nfrequency (Hz)\tlevel (dB)\n20\t90.5\n25\t91.5\n31.5\t92.5\n", { traces: [three("left", 80.5, 82.5), three("right", 90.5, 92.5)], notes: [] }),
  traces("blocks-of-level-and-impedance", "freq (Hz),level (dB)\n20,80\n25,81\n31.5,82\nfreq (Hz),impedance (ohm)\n20,8\n25,9\n31.5,10\n", { traces: [three("blocks-of-level-and-impedance 1", 80, 82), { ...three("blocks-of-level-and-impedance 2", 8, 10), quantity: "electrical impedance" }], notes: [] }),
  traces("blocks-with-metadata", "drive: 2.83 V\n\ntrace: left\nfrequency (Hz),level (dB)\n20,80\n25,81\n31.5,82\n\ntrace: right\nfrequency (Hz),level (dB)\n20,90\n25,91\n31.5,92\n", { traces: [three("left", 80, 82), three("right", 90, 92)], metadata: { drive: "2.83 V" } }),
  traces("blank-line-inside-one-table", "frequency (Hz),level (dB)\n20,80\n25,81\n\n31.5,82\n", { traces: [three("blank-line-inside-one-table", 80, 82)], notes: [] }),
  traces("error-in-the-second-block", "frequency (Hz),level (dB)\n20,80\n25,81\n\nfrequency (Hz),level (dB)\n20,90\n25,9x\n", { came: /"9x" is not a number/, row: 7 }),
  traces("trailing-remark-and-key", "frequency (Hz),left level (dB),right level (dB)\n20,80,90\n25,81,91\n31.5,82,92\n# end of data\nrows: 3\n", { traces: [left, right], notes: [], metadata: { rows: "3" } }),
  traces("trailing-junk", `${both}end of data, junk\n`, { came: /2 cells|not a number/, row: 5 }),
  traces("headings-say-nothing", "freq (Hz),front,rear\n20,80,90\n25,81,91\n", { came: /a value without a unit/ }),
  traces("headings-say-nothing-unit-told", "freq (Hz),front,rear\n20,80,90\n25,81,91\n31.5,82,92\n", { traces: [three("front", 80, 82), three("rear", 90, 92)] }, { unit: "dB" }),
  traces("kilohertz-in-one-of-two", "freq (kHz);left (dB);freq (Hz);right (dB)\n0,02;80;20;90\n0,025;81;25;91\n0,0315;82;31,5;92\n", { traces: [three("left", 80, 82), three("right", 90, 92)] }),
];

const response = [0, 1, -0.5, 0.25];
const told = /time zero|which band/;

/** Files with an impulse response. */
export const impulseCorpus: readonly ImpulseCase[] = [
  impulse("time-in-seconds", "time (s),amplitude\n0,0\n0.00002083333,1\n0.00004166667,-0.5\n0.0000625,0.25\n", { samples: response, rate: 48000, notes: [told] }),
  impulse("time-in-ms-from-before-zero", "t [ms];h\n-0,0208333;0\n0;1\n0,0208333;-0,5\n0,0416667;0,25\n", { samples: response, rate: 48000, zeroIndex: 1 }),
  impulse("time-in-us", "time (\u00b5s)\tpressure (Pa)\n0\t0\n20.8333\t1\n41.6667\t-0.5\n62.5\t0.25\n", { samples: response, rate: 48000, unit: "Pa" }),
  impulse("time-without-unit", "time;h\n0;0\n0.0104167;1\n0.0208333;-0.5\n0.03125;0.25\n", { samples: response, rate: 96000, notes: [/ms were taken/, told] }),
  impulse("sample-numbers", "sample rate: 44100 Hz\nsample,h\n0,0\n1,1\n2,-0.5\n3,0.25\n", { samples: response, rate: 44100 }),
  impulse("sample-numbers-from-one", "n h\n1 0\n2 1\n3 -0.5\n4 0.25\n", { samples: response, rate: 44100 }, { sampleRate: 44100 }),
  impulse("sample-numbers-without-a-rate", "sample,h\n0,0\n1,1\n2,-0.5\n", { came: /without a sample rate/ }),
  impulse("bare-column", "# sample rate: 48 kHz\n0\n1\n-0.5\n2.5e-1\n", { samples: response, rate: 48000, notes: [told, told] }),
  impulse("bare-column-with-mark-and-decimal-comma", marked("Abtastrate: 48000 Hz\r\n0,0\r\n1,0\r\n-0,5\r\n0,25\r\n"), { samples: response, rate: 48000 }),
  impulse("bare-column-with-heading", "amplitude\n0\n1\n-0.5\n0.25\n", { samples: response, rate: 48000 }, { sampleRate: 48000 }),
  impulse("bare-column-without-a-rate", "0\n1\n-0.5\n0.25\n", { came: /without a sample rate/ }),
  impulse("bare-column-rate-contradicted", "fs = 44100\n0\n1\n-0.5\n0.25\n", { samples: response, rate: 48000, notes: [/44100 samples a second; 48000 were taken/, told, told] }, { sampleRate: 48000 }),
  impulse("wrong-rate-in-the-file", "sample rate: 44100 Hz\ntime (ms),h\n0,0\n0.0208333,1\n0.0416667,-0.5\n0.0625,0.25\n", { came: /48000/ }),
  impulse("wrong-rate-given", "time (ms),h\n0,0\n0.0208333,1\n0.0416667,-0.5\n0.0625,0.25\n", { came: /48000/ }, { sampleRate: 44100 }),
  impulse("a-sample-missing", "time (ms),h\n0,0\n0.02,1\n0.04,2\n0.08,-0.5\n0.1,0.25\n0.12,0\n", { came: /even steps/ }),
  impulse("a-blank-sample", "time (ms),h\n0,0\n0.02,1\n0.04,\n0.06,-0.5\n", { came: /blank cell/, row: 4 }),
  impulse("times-that-fall", "time (ms),h\n0.06,0\n0.04,1\n0.02,2\n0,-0.5\n", { came: /do not ascend/ }),
  impulse("two-channels", "time (ms),left,right\n0,5,0\n0.02,6,1\n0.04,7,-0.5\n0.06,8,0.25\n", { samples: response, rate: 50000 }, { column: "right" }),
  impulse("in-decibel", "time (ms),level (dB)\n0,-80\n0.02,0\n0.04,-6\n", { came: /in dB/ }),
  impulse("over-frequency", "frequency (Hz),level (dB)\n20,80\n25,81\n", { came: /headings "frequency/ }),
  impulse("junk-in-a-bare-column", "sample rate: 48000\n0\n1\n2\n3\n4\n5\n6\n7\n8\n9\n10\nend\n", { came: /"end" is not a number/, row: 13 }),
  impulse("infinite-sample", "time (ms),h\n0,0\n0.02,inf\n0.04,1\n", { came: /not a finite number/, row: 3 }),
  impulse("huge-exponent", "time (ms),h\n0,0\n0.02,1e999\n0.04,1\n", { came: /not a finite number/, row: 3 }),
  impulse("rate-too-low", "time (s),h\n0,0\n0.01,1\n0.02,0\n", { came: /samples a second/ }),
];
