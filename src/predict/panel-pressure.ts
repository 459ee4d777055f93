import type { Network } from "../acoustics/network.js";
import { alongRun, type PathField } from "./along-path.js";
import { ductRuns } from "./duct-runs.js";
import { hear } from "./far-pressure.js";
import type { Prediction } from "./predict.js";

/** The largest pressure on the panels along one way of the air; m places. */
export interface WayPressure {
  /** names of its ducts */
  readonly name: string;
  /** m from the start, ascending, m values */
  readonly distance: Float64Array;
  /** largest pressure of a sine over all frequencies, Pa peak: force in N on each m^2 of panel, m values */
  readonly peak: Float64Array;
  /** frequency at which it is that large, Hz, m values */
  readonly frequency: Float64Array;
  readonly marks: PathField["marks"];
}

/** The largest pressure in one chamber. */
export interface ChamberPressure {
  /** node of the network */
  readonly name: string;
  /** largest pressure of a sine over all frequencies, Pa peak: force in N on each m^2 of panel */
  readonly peak: number;
  /** frequency at which it is that large, Hz */
  readonly frequency: number;
}

/** Pressures on the panels of an enclosure at the drive of a prediction. */
export interface PanelPressure {
  readonly ways: readonly WayPressure[];
  readonly chambers: readonly ChamberPressure[];
}

/**
 * Largest sound pressure inside an enclosure by place, Pa peak, over the frequencies of a prediction, at its drive: what a builder must brace panels against.
 * All ways through ducts, and all chambers.
 *
 * @remarks A steady sine at the worst frequency; the pressure outside is left out, since it is smaller by orders.
 * Source: force is pressure times area, elementary.
 */
export function panelPressure(prediction: Prediction): PanelPressure {
  const { network } = prediction.design, { frequencies } = prediction;
  const ways = ductRuns(network).map((run) => largestAlong(alongRun(prediction, run)));
  const { solution } = hear(prediction, frequencies);
  const n = frequencies.length;
  const chambers = chamberNodes(network).map((name) => {
    const node = solution.nodes.indexOf(name) * n;
    return Object.freeze({ name, ...largest(solution.pressureRe.subarray(node, node + n), solution.pressureIm.subarray(node, node + n), frequencies) });
  });
  return Object.freeze({ ways: Object.freeze(ways), chambers: Object.freeze(chambers) });
}

function largestAlong(field: PathField): WayPressure {
  const n = field.frequencies.length, m = field.distance.length;
  const peak = new Float64Array(m), frequency = new Float64Array(m);
  for (let i = 0; i < m; i++) {
    const found = largest(field.pressureRe.subarray(i * n, (i + 1) * n), field.pressureIm.subarray(i * n, (i + 1) * n), field.frequencies);
    peak[i] = found.peak;
    frequency[i] = found.frequency;
  }
  return Object.freeze({ name: field.name, distance: field.distance, peak, frequency, marks: field.marks });
}

function largest(re: Float64Array, im: Float64Array, frequencies: Float64Array): { peak: number; frequency: number } {
  let peak = -1, at = 0;
  for (let f = 0; f < re.length; f++) {
    const size = Math.hypot(re[f]!, im[f]!);
    if (size > peak) {
      peak = size;
      at = f;
    }
  }
  return { peak: Math.SQRT2 * peak, frequency: frequencies[at]! };
}

/** Nodes with a volume, in the order of the network, each once. */
function chamberNodes(network: Network): readonly string[] {
  return [...new Set(network.elements.flatMap((e) => (e.kind === "volume" ? [e.node] : [])))];
}
