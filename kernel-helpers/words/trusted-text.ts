import { clearBands, type MeasuredResponse } from "../../src/measure/measured-response.js";
import { formatQuantity } from "../quantity.js";

/** Where a response is trusted, in Hz, in words, and how much of its octaves that is. */
export function trustedText(response: MeasuredResponse): string {
  const { bands, share } = clearBands(response), percent = Math.round(100 * share);
  if (share === 0) return "nowhere";
  const part = `${percent === 100 && share < 1 ? "nearly all" : percent === 0 ? "less than 1 %" : `${percent} %`} of the octaves measured`;
  if (bands.length === 0) return `no band of a sixth of an octave or more (${part})`;
  const told = bands.slice(0, 3).map(([from, to]) => `${formatQuantity(from, "Hz")} to ${formatQuantity(to, "Hz")}`).join(", ");
  return `${told}${bands.length > 3 ? ` and ${bands.length - 3} more` : ""} (${part})`;
}
