import { type Note, remark, warning } from "../../src/notes.js";
import type { ChannelLevels } from "../../src/measure/recording-levels.js";
import type { WavRecording } from "../../src/measure/wav-read.js";
import { formatQuantity } from "../quantity.js";
import type { RecordingFolder } from "../read/read-recording.js";
import type { Figure, Panel, Table } from "../show/view.js";

/** Most channels that are drawn, one panel each, no unit. */
const mostPanels = 6;

/** Fewest samples for which an outline is drawn in place of the samples, no unit. */
const outlineFrom = 2000;

const columns = ["channel", "peak re full scale", "RMS re full scale", "mean of full scale", "clipped samples", "samples beyond full scale"];

/** A size as dB re full scale, where a constant 1 is 0 dB. */
function decibels(size: number): string {
  return size > 0 ? `${(20 * Math.log10(size)).toFixed(2)} dB` : "no signal";
}

/** What one channel holds: peak and RMS in dB re full scale, mean in %, counts. */
function levelCells({ peak, rms, offset, clippedSamples, clippedRuns, beyondFullScale }: ChannelLevels): string[] {
  const mean = 100 * offset;
  return [decibels(peak), decibels(rms), `${Math.abs(mean) < 0.0005 ? "0.000" : mean.toFixed(3)} %`, clippedSamples === 0 ? "none" : `${clippedSamples} in ${clippedRuns} flat ${clippedRuns === 1 ? "top" : "tops"}`, beyondFullScale === 0 ? "none" : String(beyondFullScale)];
}

/** Rate, bits and length in a few words. */
function kindText({ sampleRate, bits, encoding, channels, channelsInFile, fileDuration }: WavRecording): string {
  const kept = channels.length === channelsInFile ? `${channelsInFile} ${channelsInFile === 1 ? "channel" : "channels"}` : `${channels.length} of ${channelsInFile} channels`;
  return `${formatQuantity(sampleRate, "Hz", 6)}, ${bits} bits (${encoding}), ${kept}, ${formatQuantity(fileDuration, "s", 4)}`;
}

/** Which part of the file was read; undefined for all of it. */
function partText(recording: WavRecording): string | undefined {
  const length = recording.channels[0]!.length / recording.sampleRate, { startsAt, fileDuration } = recording;
  return length > fileDuration - 0.5 / recording.sampleRate ? undefined : `from ${formatQuantity(startsAt, "s", 4)} to ${formatQuantity(startsAt + length, "s", 4)}`;
}

/** Levels of each channel, with what kind of file it is. */
export function recordingTable(recording: WavRecording): Table {
  const part = partText(recording);
  const told = Object.entries(recording.metadata).slice(0, 12).map(([key, text]) => remark(recording.file, `the recorder's ${key}: ${text}`));
  const rms = remark(recording.file, "RMS re full scale is that of a constant 1: a sine of full scale has -3.01 dB");
  return {
    kind: "table",
    title: `${recording.name}: ${kindText(recording)}${part === undefined ? "" : `, ${part}`}`,
    columns,
    rows: recording.levels.map((levels, c) => [String(recording.channelNumbers[c]!), ...levelCells(levels)]),
    notes: [...recording.notes, rms, ...told],
  };
}

/** The waveform of each channel over time in s: every sample of a short one, the outline of a long one. */
export function recordingFigure(recording: WavRecording): Figure {
  const { channels, channelNumbers, sampleRate, startsAt, levels } = recording;
  const count = channels[0]!.length, long = count >= outlineFrom;
  const shown = channels.slice(0, mostPanels);
  const panels = shown.map((samples, c): Panel => {
    const line = long ? outlineLine(levels[c]!, { startsAt, end: startsAt + count / sampleRate }) : sampleLine(samples, { startsAt, sampleRate });
    const clipped = levels[c]!.clippedSamples > 0 ? ", clipped" : "";
    return { quantity: channels.length === 1 && clipped === "" ? "sample" : `channel ${channelNumbers[c]!}${clipped}`, unit: "of full scale", traces: [{ name: recording.name, ...line, role: "measurement" }], ...ends(levels[c]!) };
  });
  const notes: Note[] = channels.length > shown.length ? [remark(recording.file, `${shown.length} of ${channels.length} channels are drawn`)] : [];
  return {
    kind: "figure",
    title: `${recording.name}: recorded signal`,
    subtitle: [partText(recording), long ? `lowest and highest sample of each ${formatQuantity(levels[0]!.outline.step, "s")}` : undefined].filter((text) => text !== undefined).join("; "),
    x: { quantity: "time in the file", unit: "s", scale: "linear", range: [startsAt, startsAt + count / sampleRate] },
    panels,
    notes,
  };
}

/** An axis that is the same to both sides, in full scales. */
function ends({ peak }: ChannelLevels): Pick<Panel, "range"> {
  const room = peak > 0 ? 1.05 * peak : 1;
  return { range: [-room, room] };
}

/** The lowest and the highest sample of each strip. */
function outlineLine({ outline }: ChannelLevels, { startsAt, end }: { startsAt: number; end: number }): { x: Float64Array; y: Float64Array } {
  const n = outline.low.length, x = new Float64Array(2 * n), y = new Float64Array(2 * n);
  for (let s = 0, before = 0; s < n; s++) {
    x[2 * s] = startsAt + (s + 0.25) * outline.step;
    x[2 * s + 1] = Math.min(end, startsAt + (s + 0.75) * outline.step);
    // the end that is nearer to where the line comes from is met first
    const low = outline.low[s]!, high = outline.high[s]!, rising = Math.abs(low - before) <= Math.abs(high - before);
    y[2 * s] = rising ? low : high;
    y[2 * s + 1] = before = rising ? high : low;
  }
  return { x, y };
}

function sampleLine(samples: Float32Array, { startsAt, sampleRate }: { startsAt: number; sampleRate: number }): { x: Float64Array; y: Float64Array } {
  return { x: Float64Array.from(samples, (_, i) => startsAt + i / sampleRate), y: Float64Array.from(samples) };
}

/** One line for the console. */
export function recordingLine(recording: WavRecording): string {
  const part = partText(recording);
  const peaks = recording.levels.map(({ peak }) => decibels(peak)).slice(0, 8).join(", ");
  return `${recording.name}: ${kindText(recording)}${part === undefined ? "" : `, ${part}`}; peak ${peaks} re full scale`;
}

/** A row for each channel of each recording; refused files are warnings. */
export function folderTable({ folder, recordings, refused }: RecordingFolder): Table {
  return {
    kind: "table",
    title: `Recordings in ${folder}: ${recordings.length} read, ${refused.length} refused`,
    columns: ["recording", "what it is", ...columns],
    rows: recordings.flatMap((recording) => recording.levels.map((levels, c) => [c === 0 ? recording.name : "", c === 0 ? kindText(recording) : "", String(recording.channelNumbers[c]!), ...levelCells(levels)])),
    notes: [...refused.map(({ why }) => warning(folder, why)), ...recordings.flatMap(({ notes }) => notes)],
  };
}

/** One line for the console. */
export function folderLine({ folder, recordings, refused }: RecordingFolder): string {
  const names = recordings.map(({ name }) => name).join(", ");
  return `${recordings.length} recordings in ${folder}: ${names}${refused.length === 0 ? "" : `; refused: ${refused.map(({ why }) => why).join("; ")}`}`;
}
