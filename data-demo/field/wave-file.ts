/** Bytes of a WAV file with one channel of whole numbers of 16 bits, from samples of full scale -1 to 1; no unit. Source: Microsoft and IBM, Multimedia Programming Interface and Data Specifications 1.0 (1991). */
export function waveFile(samples: Float64Array, rate: number): Uint8Array {
  const bytes = new Uint8Array(44 + 2 * samples.length), view = new DataView(bytes.buffer);
  const word = (at: number, text: string): void => { for (let i = 0; i < 4; i++) bytes[at + i] = text.charCodeAt(i); };
  word(0, "RIFF");
  view.setUint32(4, bytes.length - 8, true);
  word(8, "WAVE");
  word(12, "fmt ");
  view.setUint32(16, 16, true);
  view.setUint16(20, 1, true);
  view.setUint16(22, 1, true);
  view.setUint32(24, rate, true);
  view.setUint32(28, 2 * rate, true);
  view.setUint16(32, 2, true);
  view.setUint16(34, 16, true);
  word(36, "data");
  view.setUint32(40, 2 * samples.length, true);
  for (let n = 0; n < samples.length; n++) view.setInt16(44 + 2 * n, Math.max(-32768, Math.min(32767, Math.round(32768 * samples[n]!))), true);
  return bytes;
}
