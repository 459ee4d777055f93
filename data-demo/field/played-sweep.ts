/** The sweep that the invented player plays: 48000 samples a second, read from recordings/sweep.json by those who measure. Hz, s, parts of full scale. */
export const playedSweep = {
  kind: "exponential sweep", name: "sweep 10 Hz to 500 Hz", sampleRate: 48000, level: 0.5, repeats: 2, silence: 1, lead: 0.5,
  click: { channel: 1, bandwidth: 500, gap: 0.5, level: 0.5 },
  from: 10, to: 500, duration: 5, fadeIn: 0.2, fadeOut: 0.04, synchronised: false,
} as const;

/** Samples of the file that is played, no unit: lead, click (four periods of its bandwidth long, half of it before its middle), gap, repeats with their silence. */
export function playedCount(): number {
  return Math.round(clickTime() * playedSweep.sampleRate) + playedSweep.click.gap * playedSweep.sampleRate + playedSweep.repeats * (playedSweep.duration + playedSweep.silence) * playedSweep.sampleRate;
}

/** Time of the middle of the click in the file, s. */
function clickTime(): number {
  return playedSweep.lead + Math.ceil((2 / playedSweep.click.bandwidth) * playedSweep.sampleRate) / playedSweep.sampleRate;
}

/** What is played at a time (s) in the file, full scale, no unit: a click (sinc in a window of Blackman) and the sweeps sin(2 pi f1 R (e^(t/R) - 1)), R = T/ln(f2/f1), with fades of a squared sine. Source: A. Farina, AES preprint 5093 (2000). */
export function playedValue(time: number): number {
  const { from, to, duration, fadeIn, fadeOut, level, repeats, silence, click } = playedSweep, atClick = time - clickTime(), reach = 2 / click.bandwidth;
  if (Math.abs(atClick) < reach) {
    const x = 2 * Math.PI * click.bandwidth * atClick, place = (Math.PI * atClick) / reach;
    return click.level * (0.42 + 0.5 * Math.cos(place) + 0.08 * Math.cos(2 * place)) * (x === 0 ? 1 : Math.sin(x) / x);
  }
  const start = atClick - click.gap, repeat = Math.floor(start / (duration + silence)), t = start - repeat * (duration + silence);
  if (start < 0 || repeat >= repeats || t >= duration) return 0;
  const growth = duration / Math.log(to / from), ramp = (part: number): number => (part >= 1 ? 1 : Math.sin((Math.PI / 2) * part) ** 2);
  return level * ramp(t / fadeIn) * ramp((duration - t) / fadeOut) * Math.sin(2 * Math.PI * from * growth * (Math.exp(t / growth) - 1));
}

/** Text of recordings/sweep.json. */
export function playedSweepText(): string {
  const { kind, ...rest } = playedSweep;
  return `${JSON.stringify({
    format: "airpath test signal", version: 1, units: "frequencies and rates in Hz, times in s, levels as parts of full scale",
    note: "SYNTHETIC data: this signal was never played; maker: data-demo/make-recordings.ts, see README.md above", kind, ...rest, total: playedCount(),
  }, null, 2)}\n`;
}
