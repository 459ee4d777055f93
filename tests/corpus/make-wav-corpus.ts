import { ascii, big, broadcast, chunk, extensible, floating, format, identifier, infoList, little, longSizes, riff, whole } from "../support/wav-bytes.js";
import type { ReadWavOptions } from "../../src/measure/wav-read.js";

/** What reading a file must give. */
export type Expected =
  | {
      /** full scale -1 to 1, one list a channel, exactly these */
      readonly channels: readonly (readonly number[])[];
      /** Hz; 48000 when missing */
      readonly rate?: number;
      /** bits that are used; 16 when missing */
      readonly bits?: number;
      /** texts that the notes must hold, one each; no other notes are allowed */
      readonly notes?: readonly RegExp[];
      readonly metadata?: Readonly<Record<string, string>>;
    }
  | {
      /** what the error must say came */
      readonly came: RegExp;
      /** what its advice must hold */
      readonly hint?: RegExp;
      /** true for a wrong option: an InputError */
      readonly option?: true;
    };

/** One awkward recording. */
export interface WavCase {
  /** says the fault */
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly options?: Partial<ReadWavOptions>;
  readonly expected: Expected;
}

const values = [0, 1000, -2000, 3000, 12345, -16384];
const samples = whole(16, values), data = chunk("data", samples);
const scaled = values.map((value) => value / 32768);
const plain = { channels: [scaled], notes: [] } as const;
const fmt = format();
const head = riff([fmt]).length;
const of = (name: string, chunks: readonly (readonly number[])[], expected: Expected, options?: Parameters<typeof riff>[1]): WavCase => ({ name, bytes: riff(chunks, options), expected });
const cut = (bytes: Uint8Array, count: number): Uint8Array => bytes.slice(0, bytes.length - count);
const withEnd = (bytes: Uint8Array, ...end: number[]): Uint8Array => Uint8Array.from([...bytes, ...end]);
const twoChannels = { channels: [[scaled[0]!, scaled[2]!, scaled[4]!], [scaled[1]!, scaled[3]!, scaled[5]!]], notes: [] };
const values24 = [0, 1, -1, 4_000_000, -8_000_000, 77], scaled24 = values24.map((value) => value / 2 ** 23);
const plain24 = { channels: [scaled24], bits: 24, notes: [] };
const floats = [0, 0.25, -0.125, 0.5, 2 ** -20, -0.75];
const plainFloats = { channels: [floats], bits: 32, notes: [] };
const clippedTop = [0, 9000, 20000, 20000, 20000, 20000, 11000, 0, -9000, -12000, -9000, 0];
const fastTop = [0, 19995, 5, 5, 20000, 20000, 20000, 5, 5, 19995, 0];
const slowTop = [0, 11990, 11998, 12000, 12000, 12000, 12000, 11998, 11990, 0];
const direct = Array.from({ length: 200 }, (_, i) => 3000 + (i % 3));
const noSize = 0xffffffff;
const big16 = whole(16, values, big), bigFormat = format({ order: big });
const many = Array.from({ length: 24 }, (_, c) => [(c + 1) / 32768, -(c + 1) / 32768]);

const kinds: readonly WavCase[] = [
  of("plain-16", [fmt, data], plain),
  of("unsigned-8", [format({ bits: 8 }), chunk("data", whole(8, [128, 0, 255, 64, 192]))], { channels: [[0, -1, 127 / 128, -0.5, 0.5]], bits: 8, notes: [/reaches full scale/] }),
  of("plain-24", [format({ bits: 24 }), chunk("data", whole(24, values24))], plain24),
  of("plain-32", [format({ bits: 32 }), chunk("data", whole(32, [0, 2 ** 30, -(2 ** 29), 256]))], { channels: [[0, 0.5, -0.25, 2 ** -23]], bits: 32, notes: [/32 bits were rounded to 24/] }),
  of("float-32", [format({ number: 3, bits: 32 }), chunk("data", floating(32, floats))], plainFloats),
  of("float-64", [format({ number: 3, bits: 64 }), chunk("data", floating(64, floats))], { ...plainFloats, bits: 64, notes: [/64 bits was rounded to 24/] }),
  of("extensible-24", [extensible(), chunk("data", whole(24, values24))], plain24),
  of("extensible-20-bits-in-24", [extensible({ valid: 20 }), chunk("data", whole(24, [0, 16, -32, 4_000_000]))], { channels: [[0, 16 / 2 ** 23, -32 / 2 ** 23, 4_000_000 / 2 ** 23]], bits: 20, notes: [] }),
  of("extensible-24-bits-in-32", [extensible({ bits: 32, valid: 24 }), chunk("data", whole(32, values24.map((value) => value * 256)))], plain24),
  of("extensible-no-valid-bits", [extensible({ valid: 0 }), chunk("data", whole(24, values24))], { ...plain24, notes: [/no valid bits: all 24/] }),
  of("extensible-float", [extensible({ bits: 32, kind: identifier(3) }), chunk("data", floating(32, floats))], plainFloats),
  of("12-bits-in-16", [format({ bits: 12 }), chunk("data", whole(16, [0, 16, -32, 4096]))], { channels: [[0, 16 / 32768, -32 / 32768, 0.125]], bits: 12, notes: [] }),
  of("two-channels", [format({ channels: 2 }), data], twoChannels),
  of("24-channels", [extensible({ channels: 24, bits: 16 }), chunk("data", whole(16, [...many.keys()].map((c) => c + 1).concat([...many.keys()].map((c) => -(c + 1)))))], { channels: many, notes: [] }),
  of("rate-192-khz", [format({ rate: 192000 }), data], { ...plain, rate: 192000 }),
  of("big-endian-16", [bigFormat, chunk("data", big16, { order: big })], plain, { container: "RIFX", order: big }),
  of("big-endian-extensible-24", [extensible({ order: big }), chunk("data", whole(24, values24, big), { order: big })], plain24, { container: "RIFX", order: big }),
  of("big-endian-float-64", [format({ number: 3, bits: 64, order: big }), chunk("data", floating(64, floats, big), { order: big })], { ...plainFloats, bits: 64, notes: [/rounded/] }, { container: "RIFX", order: big }),
  of("format-chunk-of-18-bytes", [chunk("fmt ", [...fmt.slice(8), 0, 0]), data], plain),
  { name: "one-channel-wanted", bytes: riff([format({ channels: 2 }), data]), options: { channels: [2] }, expected: { channels: [twoChannels.channels[1]!], notes: [] } },
  { name: "part-wanted", bytes: riff([fmt, data]), options: { from: 2 / 48000, to: 5 / 48000 }, expected: { channels: [scaled.slice(2, 5)], notes: [] } },
];

const chunks: readonly WavCase[] = [
  of("unknown-chunks-around", [chunk("zzzz", [1, 2, 3, 4]), fmt, chunk("Abc1", [9, 9]), data, chunk("tail", [5, 6])], plain),
  of("odd-chunks-around", [chunk("JUNK", [1, 2, 3]), fmt, chunk("odd ", [7]), data, chunk("note", [1, 2, 3, 4, 5])], plain),
  of("pad-byte-missing", [fmt, chunk("LIST", [...ascii("adtl"), 1], { pad: false }), data], { ...plain, notes: [/pad byte before the chunk "data" is missing/] }),
  of("pad-byte-missing-before-format", [chunk("junk", [1, 2, 3], { pad: false }), fmt, data], { ...plain, notes: [/pad byte before the chunk "fmt " is missing/] }),
  of("odd-samples-without-pad", [format({ bits: 8 }), chunk("data", whole(8, [128, 100, 150]), { pad: false })], { channels: [[0, -28 / 128, 22 / 128]], bits: 8, notes: [] }),
  of("info-texts", [fmt, infoList({ ISFT: "invented recorder 1.02", ICMT: "Mikrofon im Fußraum" }), data], { ...plain, metadata: { software: "invented recorder 1.02", comment: "Mikrofon im Fußraum" } }),
  of("info-in-latin-1", [fmt, chunk("LIST", [...ascii("INFO"), ...chunk("INAM", [0x46, 0xfc, 0xdf, 0])]), data], { ...plain, metadata: { title: "F\u00fc\u00df" } }),
  of("info-size-wrong", [fmt, chunk("LIST", [...ascii("INFO"), ...chunk("INAM", ascii("seat"), { told: 4_000_000_000 })]), data], { ...plain, metadata: { title: "seat" } }),
  of("broadcast-texts", [broadcast({ description: "take 3", originator: "invented recorder", date: "2026-05-01", time: "10:11:12", history: "A=PCM" }), fmt, data], { ...plain, metadata: { description: "take 3", originator: "invented recorder", date: "2026-05-01", time: "10:11:12", "coding history": "A=PCM" } }),
  of("broadcast-too-short", [chunk("bext", ascii("only this")), fmt, data], { ...plain, metadata: { description: "only this" } }),
  of("two-data-chunks", [fmt, data, chunk("data", [1, 2, 3, 4])], { ...plain, notes: [/second chunk of samples, 4 bytes, was left out/] }),
  { name: "rubbish-behind", bytes: withEnd(riff([fmt, data]), 0xff, 0xfe, 0, 1, 2, 3, 4, 5, 6), expected: { ...plain, notes: [/9 bytes after the end/] } },
  of("rubbish-inside-behind", [fmt, data, [0xff, 0xfe, 0, 1, 2, 3, 4, 5, 6, 7]], { ...plain, notes: [/10 bytes after the last chunk/] }),
  of("last-chunk-cut-off", [fmt, data, chunk("cue ", [1, 2], { told: 500 })], { ...plain, notes: [/last chunk "cue " is cut off/] }),
];

const sizes: readonly WavCase[] = [
  of("riff-size-0", [fmt, data], { ...plain, notes: [/tells no size/] }, { told: 0 }),
  of("riff-size-not-told", [fmt, data], { ...plain, notes: [/tells no size/] }, { told: noSize }),
  of("riff-size-too-small", [fmt, data], { ...plain, notes: [/tells 28 bytes for the whole file, which has 56/] }, { told: 20 }),
  of("riff-size-too-small-texts-behind", [fmt, data, infoList({ ISFT: "x" })], { ...plain, notes: [/tells 28 bytes for the whole file/], metadata: { software: "x" } }, { told: 20 }),
  of("riff-size-too-large", [fmt, data], plain, { told: 5000 }),
  of("stream-both-sizes-not-told", [fmt, chunk("data", samples, { told: noSize })], { ...plain, notes: [/tells no size/] }, { told: noSize }),
  of("stream-data-size-2-gb", [fmt, chunk("data", samples, { told: 0x7ffff000 })], { ...plain, notes: [/tells no count of samples, as with a stream/] }, { told: 0x7ffff024 }),
  of("switched-off-data-size-0", [fmt, chunk("data", samples, { told: 0 })], { ...plain, notes: [/tells no samples, as a recorder leaves it that was switched off/, /tells no size/] }, { told: 0 }),
  { name: "cut-off-in-the-samples", bytes: cut(riff([format({ rate: 1000 }), chunk("data", whole(16, [...values, ...values]))]), 12), expected: { ...plain, rate: 1000, notes: [/cut off: the header tells 0\.012 s, of which the last 0\.006 s are missing/] } },
  { name: "cut-off-in-a-frame", bytes: cut(riff([format({ channels: 2 }), data]), 3), expected: { channels: [[scaled[0]!, scaled[2]!], [scaled[1]!, scaled[3]!]], notes: [/cut off/, /last moment is not complete \(1 of 4 bytes\)/] } },
  of("last-frame-incomplete", [format({ channels: 2 }), chunk("data", [...samples, 1, 2])], { ...twoChannels, notes: [/last moment is not complete \(2 of 4 bytes\)/] }),
  of("rf64", [longSizes(12, { frames: 6 }), fmt, chunk("data", samples, { told: noSize })], plain, { container: "RF64", told: noSize }),
  of("bw64", [longSizes(12, { frames: 6 }), fmt, chunk("data", samples, { told: noSize }), chunk("axml", [1, 2])], plain, { container: "BW64", told: noSize }),
  of("rf64-short-size-told", [longSizes(0), fmt, data], plain, { container: "RF64", told: noSize }),
  of("rf64-table-of-long-chunks", [longSizes(12, { table: [["junk", 3]] }), chunk("junk", [1, 2, 3], { told: noSize }), fmt, chunk("data", samples, { told: noSize })], plain, { container: "RF64", told: noSize }),
  of("rf64-larger-than-the-file", [longSizes(2 ** 40), fmt, chunk("data", samples, { told: noSize })], { ...plain, notes: [/cut off: the header tells 11453000 s/] }, { container: "RF64", told: noSize }),
  of("rf64-without-long-sizes", [fmt, chunk("data", samples, { told: noSize })], { ...plain, notes: [/chunk with the true sizes is missing/] }, { container: "RF64", told: noSize }),
  of("rf64-never-finished", [longSizes(0), fmt, chunk("data", samples, { told: noSize })], { ...plain, notes: [/tells no samples, as a recorder leaves it/] }, { container: "RF64", told: noSize }),
];

const contents: readonly WavCase[] = [
  of("clipped-top", [fmt, chunk("data", whole(16, clippedTop))], { channels: [clippedTop.map((value) => value / 32768)], notes: [/clipped: 4 samples in 1 flat top, the first at 0\.000 s/] }),
  of("clipped-top-that-comes-back-soon", [fmt, chunk("data", whole(16, fastTop))], { channels: [fastTop.map((value) => value / 32768)], notes: [/clipped: 3 samples in 1 flat top/] }),
  of("clipped-at-both-ends", [fmt, chunk("data", whole(16, [0, 32767, 32767, 32767, 0, -32768, -32768, -32768, 0]))], { channels: [[0, 32767, 32767, 32767, 0, -32768, -32768, -32768, 0].map((value) => value / 32768)], notes: [/clipped: 6 samples in 2 flat tops/] }),
  of("slow-top-is-not-clipped", [fmt, chunk("data", whole(16, slowTop))], { channels: [slowTop.map((value) => value / 32768)], notes: [] }),
  of("touches-full-scale", [fmt, chunk("data", whole(16, [0, 32767, 0, -32768]))], { channels: [[0, 32767 / 32768, 0, -1]], notes: [/reaches full scale/] }),
  of("float-beyond-full-scale", [format({ number: 3, bits: 32 }), chunk("data", floating(32, [0, 1.5, -2.25, 0.5]))], { channels: [[0, 1.5, -2.25, 0.5]], bits: 32, notes: [/beyond full scale: 2 samples, up to 2\.25/] }),
  of("nothing-but-zeros", [fmt, chunk("data", whole(16, [0, 0, 0, 0]))], { channels: [[0, 0, 0, 0]], notes: [/nothing but zeros/] }),
  of("one-silent-channel", [format({ channels: 2 }), chunk("data", whole(16, [0, 5, 0, -5]))], { channels: [[0, 0], [5 / 32768, -5 / 32768]], notes: [/channel 1 holds nothing but zeros/] }),
  of("direct-current", [format({ rate: 1000 }), chunk("data", whole(16, direct))], { channels: [direct.map((value) => value / 32768)], rate: 1000, notes: [/mean of 9\.2 %/] }),
  of("one-sample", [fmt, chunk("data", whole(16, [77]))], { channels: [[77 / 32768]], notes: [] }),
  of("float-not-a-number", [format({ number: 3, bits: 32, channels: 2 }), chunk("data", floating(32, [0, 0.5, 0.25, NaN, 0, 0]))], { came: /^NaN at sample 2 of channel 2 \(0\.0000208 s\)$/ }),
  of("float-infinite", [format({ number: 3, bits: 64 }), chunk("data", floating(64, [0, 0.5, -Infinity]))], { came: /^-Infinity at sample 3 of channel 1/ }),
  of("float-64-too-large", [format({ number: 3, bits: 64 }), chunk("data", floating(64, [0, 1e300]))], { came: /^1e\+300 at sample 2 of channel 1/ }),
];

const refused: readonly WavCase[] = [
  of("a-law", [format({ number: 6, bits: 8 }), chunk("data", [1, 2, 3, 4])], { came: /A-law/, hint: /save the recording as WAV/ }),
  of("mu-law", [format({ number: 7, bits: 8 }), chunk("data", [1, 2, 3, 4])], { came: /mu-law/, hint: /save the recording as WAV/ }),
  of("mu-law-extensible", [extensible({ bits: 8, kind: identifier(7) }), chunk("data", [1, 2, 3, 4])], { came: /mu-law/ }),
  of("adpcm", [format({ number: 0x11, bits: 4, block: 256 }), chunk("data", [1, 2, 3, 4])], { came: /ADPCM/ }),
  of("mp3-in-wav", [format({ number: 0x55, bits: 0, block: 1 }), chunk("data", [1, 2, 3, 4])], { came: /MP3/ }),
  of("unknown-format-number", [format({ number: 0x1234 }), data], { came: /format 0x1234/ }),
  of("unknown-identifier", [extensible({ kind: Array.from({ length: 16 }, (_, i) => i) }), data], { came: /unknown kind \(000102/ }),
  of("extensible-too-short", [chunk("fmt ", [...little.two(0xfffe), ...fmt.slice(10), 0, 0]), data], { came: /extensible format chunk of 18 bytes/ }),
  of("more-valid-bits-than-bits", [extensible({ valid: 32 }), chunk("data", whole(24, values24))], { came: /32 valid bits in samples of 24 bits/ }),
  of("format-too-short", [chunk("fmt ", fmt.slice(8, 22)), data], { came: /format chunk of 14 bytes/ }),
  of("format-missing", [data], { came: /no format chunk/ }),
  of("format-after-samples", [data, fmt], { came: /format chunk stands after the samples/ }),
  of("two-formats", [fmt, format({ rate: 44100 }), data], { came: /two format chunks/ }),
  of("no-channel", [format({ channels: 0, block: 0 }), data], { came: /no channel/ }),
  of("no-rate", [format({ rate: 0 }), data], { came: /^0 samples a second/ }),
  of("rate-4-ghz", [format({ rate: 4_000_000_000, bytesEachSecond: 0 }), data], { came: /^4000000000 samples a second/ }),
  of("block-contradicts-bits", [format({ channels: 2, bits: 24, block: 4 }), data], { came: /4 bytes for one moment contradict 2 channels of 24 bits, which take 6/ }),
  of("block-0", [format({ block: 0 }), data], { came: /0 bytes for one moment contradict 1 channel of 16/ }),
  of("bits-0", [format({ bits: 0, block: 0 }), data], { came: /whole numbers of 0 bits/ }),
  of("bits-64-whole", [format({ bits: 64 }), chunk("data", [1, 2, 3, 4, 5, 6, 7, 8])], { came: /whole numbers of 64 bits/ }),
  of("float-16", [format({ number: 3, bits: 16 }), data], { came: /floating point of 16 bits/ }),
  of("no-samples", [fmt, chunk("data", [])], { came: /^no sample$/ }),
  of("no-samples-but-texts", [fmt, chunk("data", []), infoList({ ISFT: "x" })], { came: /^no sample$/ }),
  of("less-than-a-frame", [format({ channels: 2 }), chunk("data", [1, 2])], { came: /^no sample$/ }),
  of("no-data-chunk", [fmt, chunk("LIST", ascii("INFO"))], { came: /no chunk of samples/ }),
  of("wave-list", [fmt, chunk("LIST", [...ascii("wavl"), ...data])], { came: /silences between them/ }),
  of("chunk-larger-than-the-file", [fmt, chunk("LIST", [1, 2], { told: 0x7fffffff })], { came: /chunk "LIST" tells 2147483647 bytes, 2 follow/ }),
  of("damaged-between-chunks", [fmt, [0, 0, 0, 0, 0, 0, 0, 0, 0, 0], data], { came: new RegExp(`no chunk at byte ${head + 1}`) }),
  { name: "header-only", bytes: riff([]).slice(0, 10), expected: { came: /the file ends after 10 bytes/ } },
  { name: "twelve-bytes", bytes: riff([]), expected: { came: /no chunk of samples/ } },
  { name: "empty", bytes: new Uint8Array(0), expected: { came: /the file is empty/ } },
  { name: "nothing-but-zeros-no-header", bytes: new Uint8Array(200), expected: { came: /nothing but zeros/ } },
  { name: "avi", bytes: riff([fmt, data], { form: "AVI " }), expected: { came: /an AVI film/ } },
  { name: "webp", bytes: riff([fmt, data], { form: "WEBP" }), expected: { came: /a WebP picture/ } },
  { name: "other-riff", bytes: riff([fmt, data], { form: "RMID" }), expected: { came: /a RIFF file of the kind "RMID"/ } },
  { name: "aiff", bytes: Uint8Array.from([...ascii("FORM"), ...big.four(100), ...ascii("AIFF"), ...samples]), expected: { came: /an AIFF recording/, hint: /as WAV/ } },
  { name: "flac", bytes: Uint8Array.from([...ascii("fLaC"), 0, 0, 0, 34]), expected: { came: /a FLAC recording/ } },
  { name: "ogg", bytes: Uint8Array.from([...ascii("OggS"), 0, 2, 0, 0]), expected: { came: /an Ogg recording/ } },
  { name: "mp3-with-tag", bytes: Uint8Array.from([...ascii("ID3"), 4, 0, 0]), expected: { came: /an MP3 recording/ } },
  { name: "mp3-without-tag", bytes: Uint8Array.from([0xff, 0xfb, 0x90, 0x64, 0, 0]), expected: { came: /an MP3 recording/ } },
  { name: "mpeg-4", bytes: Uint8Array.from([0, 0, 0, 24, ...ascii("ftypM4A ")]), expected: { came: /an MPEG-4 recording/ } },
  { name: "wave64", bytes: Uint8Array.from([...ascii("riff"), 0x2e, 0x91, 0xcf, 0x11, 0xa5, 0xd6, 0x28, 0xdb]), expected: { came: /a Wave64 recording/ } },
  { name: "table", bytes: Uint8Array.from(ascii("frequency,level\n20,80\n")), expected: { came: /this is a text/, hint: /readSweep/ } },
  { name: "web-page", bytes: Uint8Array.from(ascii("<!DOCTYPE html><html><body>no such file</body></html>")), expected: { came: /a web page/ } },
  { name: "raw-samples", bytes: Uint8Array.from(samples), expected: { came: /does not begin as a WAV file does/ } },
  { name: "channel-not-there", bytes: riff([fmt, data]), options: { channels: [2] }, expected: { came: /^2$/, option: true } },
  { name: "part-after-the-end", bytes: riff([fmt, data]), options: { from: 1 }, expected: { came: /^1 s$/, option: true } },
  { name: "part-too-long", bytes: riff([fmt, data]), options: { to: 1 }, expected: { came: /^1 s$/, option: true } },
];

/** All awkward recordings, made in memory. */
export const wavCorpus: readonly WavCase[] = [...kinds, ...chunks, ...sizes, ...contents, ...refused];
