import type { Drive } from "../../src/acoustics/solve.js";
import type { Prediction } from "../../src/predict/predict.js";
import { formatQuantity } from "../quantity.js";
import type { TraceRole } from "../show/view.js";

/** Drive, space and distance of a prediction in words, in the order in which they are told. */
export const conditionParts: readonly ((p: Prediction) => string)[] = Object.freeze([
  (p: Prediction): string => driveText(p.drive),
  (p: Prediction): string => p.space.name,
  (p: Prediction): string => formatQuantity(p.distance, "m"),
]);

/** "2.83 V, half space, 1 m": what the predictions have in common. */
export function conditions(predictions: readonly Prediction[]): string {
  return conditionParts.map((part) => listed([...new Set(predictions.map(part))])).join(", ");
}

/** "one, two and three". */
function listed(parts: readonly string[]): string {
  return parts.length < 2 ? parts.join("") : `${parts.slice(0, -1).join(", ")} and ${parts.at(-1)!}`;
}

/** "2.83 V", or "60 W into 4 ohm (15.5 V)" where a power was given. */
export function driveText({ voltage, nominal }: Pick<Drive, "voltage" | "nominal">): string {
  const volts = formatQuantity(voltage, "V");
  return nominal === undefined ? volts : `${formatQuantity(nominal.power, "W")} into ${formatQuantity(nominal.impedance, "ohm")} (${volts})`;
}

/** Names of predictions for legends and tables, all different: where two have one name, what differs between them or a number is added. */
export function distinctNames(predictions: readonly Prediction[]): readonly string[] {
  const names = predictions.map((p) => p.design.name);
  const named = predictions.map((p, i) => {
    const alike = predictions.filter((other) => other.design.name === p.design.name);
    const differing = conditionParts.filter((part) => new Set(alike.map(part)).size > 1);
    return alike.length === 1 ? p.design.name : [names[i]!, ...differing.map((part) => part(p))].join(", ");
  });
  const seen = new Map<string, number>();
  return named.map((name) => {
    const place = (seen.get(name) ?? 0) + 1;
    seen.set(name, place);
    return named.filter((other) => other === name).length === 1 ? name : `${name} (${place})`;
  });
}

/** The same predictions, with designs of the same name told apart by their names. */
export function toldApart(predictions: readonly Prediction[]): readonly Prediction[] {
  const names = distinctNames(predictions);
  return predictions.map((p, i) => (names[i] === p.design.name ? p : Object.freeze({ ...p, design: Object.freeze({ ...p.design, name: names[i]! }) })));
}

/** Lowest and highest frequency of all predictions, Hz. */
export function commonRange(predictions: readonly Prediction[]): readonly [number, number] {
  return [Math.min(...predictions.map((p) => p.frequencies[0]!)), Math.max(...predictions.map((p) => p.frequencies[p.frequencies.length - 1]!))];
}

/** Role of the lines of one of several predictions: the first one is what the figure is about. */
export function roleOf(place: number): TraceRole {
  return place === 0 ? "prediction" : "comparison";
}

/** "Title: name" for one prediction, the title alone for several. */
export function titleOf(title: string, predictions: readonly Prediction[]): string {
  return predictions.length === 1 ? `${title}: ${predictions[0]!.design.name}` : title;
}
