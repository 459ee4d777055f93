import type { Prediction } from "../../src/predict/predict.js";
import { formatQuantity } from "../quantity.js";
import type { TraceRole } from "../show/view.js";

/** "2.83 V, half space, 1 m": what the predictions have in common. */
export function conditions(predictions: readonly Prediction[]): string {
  const parts = [
    (p: Prediction): string => formatQuantity(p.drive.voltage, "V"),
    (p: Prediction): string => p.space.name,
    (p: Prediction): string => formatQuantity(p.distance, "m"),
  ];
  return parts.map((part) => [...new Set(predictions.map(part))].join(" and ")).join(", ");
}

/** Role of the lines of one of several predictions: the first one is what the figure is about. */
export function roleOf(place: number): TraceRole {
  return place === 0 ? "prediction" : "comparison";
}

/** "Title: name" for one prediction, the title alone for several. */
export function titleOf(title: string, predictions: readonly Prediction[]): string {
  return predictions.length === 1 ? `${title}: ${predictions[0]!.design.name}` : title;
}
