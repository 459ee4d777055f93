import { logGrid } from "../math/log-grid.js";
import { makePairSpectra, makeRealFourier } from "../math/real-fourier.js";
import type { Situation } from "../predict/far-pressure.js";
import { resultsAt } from "../predict/results-at.js";

/** Displacement of a pulse is followed for so long at least, s: a resonance at 5 Hz with a Q of 10 has then fallen by 27 dB. */
const followed = 2;

/** From here on up a cone is taken to stand still, Hz; a few micrometres at most. */
const stands = 10_000;

/** Lowest frequency that is solved, Hz; below it the displacement stays what it is there. */
const lowest = 0.5;

/**
 * Largest excursion of any cone while a pulse is played, one way, m peak: its spectrum through the displacement per volt, back in time.
 *
 * @param pulse      samples of the pulse, full scale, no unit
 * @param situation  design, space, air and source resistance (ohm); the voltage of its drive is not used
 * @param options    samples a second in Hz; voltage in V at the amplifier's output, at that moment, of a sample of 1
 * @throws SolveError  where the network has no finite solution
 * @remarks Linear. Solved at 48 frequencies an octave and straight between them over the logarithm.
 *
 * Source: response of a linear system to a pulse by its spectrum, elementary.
 */
export function clickExcursion(pulse: Float64Array, situation: Situation, { sampleRate, peakVoltage }: { readonly sampleRate: number; readonly peakVoltage: number }): number {
  let size = 16;
  while (size < pulse.length + followed * sampleRate) size *= 2;
  const fourier = makeRealFourier(size), spectra = makePairSpectra(size), played = makePairSpectra(size);
  fourier.forward(pulse, [], played);
  const top = Math.min(sampleRate / 2, stands), grid = logGrid(lowest, top, Math.ceil(48 * Math.log2(top / lowest)) + 1);
  const { cones } = resultsAt({ ...situation, drive: { ...situation.drive, voltage: 1 } }, grid);
  const out = new Float64Array(size), none = new Float64Array(size), perPlace = (grid.length - 1) / Math.log(top / lowest);
  let largest = 0;
  for (const { displacementRe, displacementIm } of cones) {
    spectra.firstRe.fill(0);
    spectra.firstIm.fill(0);
    for (let k = 0; k < played.firstRe.length; k++) {
      const f = (k * sampleRate) / size;
      if (f > top) break;
      const place = Math.max(0, Math.log(f / lowest) * perPlace), i = Math.min(grid.length - 2, Math.floor(place)), share = Math.min(1, place - i);
      const re = displacementRe[i]! * (1 - share) + displacementRe[i + 1]! * share, im = k === 0 ? 0 : displacementIm[i]! * (1 - share) + displacementIm[i + 1]! * share;
      spectra.firstRe[k] = played.firstRe[k]! * re - played.firstIm[k]! * im;
      spectra.firstIm[k] = played.firstRe[k]! * im + played.firstIm[k]! * re;
    }
    fourier.inverse(spectra, out, none);
    for (const x of out) largest = Math.max(largest, Math.abs(x));
  }
  return largest * peakVoltage;
}
