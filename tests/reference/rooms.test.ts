import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { makeAir } from "../../src/air/air.js";
import type { OpeningElement } from "../../src/acoustics/network.js";
import { rectangularRoom, type RoomLoss } from "../../src/space/room.js";
import type { Point } from "../../src/space/places.js";
import { spaceDistance, spaceTransfer } from "../../src/space/space.js";

const air = makeAir({ density: 1.2041, soundSpeed: 343.2 });
interface Case {
  readonly geometry: { readonly size_m?: Point; readonly room_m?: Point; readonly source_m: Point; readonly listener_m?: Point; readonly receivers_m?: Readonly<Record<string, Point>> };
  readonly loss?: { readonly decay_rate_per_s: number };
  readonly loss_factor?: number;
}
const rows = (name: string): { heading: string[]; values: number[][] } => {
  const lines = readFileSync(new URL(`${name}/response.csv`, import.meta.url), "utf8").trim().split("\n").filter((line) => !line.startsWith("#"));
  return { heading: lines[0]!.split(","), values: lines.slice(1).map((line) => line.split(",").map(Number)) };
};
// a point source: an opening so small that its own size does not matter to the listener
const source: OpeningElement = { kind: "opening", name: "mouth", node: "mouth", area: 1e-8, load: { kind: "space" }, massInDriver: false };

describe.each(["field-room", "room-small-listening", "room-workshop-corner"])("%s", (name) => {
  const about = JSON.parse(readFileSync(new URL(`${name}/case.json`, import.meta.url), "utf8")) as Case;
  const { heading, values } = rows(name);
  const frequencies = Float64Array.from(values, (row) => row[0]!);
  const size = (about.geometry.size_m ?? about.geometry.room_m)!;
  const loss: RoomLoss = about.loss === undefined ? { kind: "loss factor", factor: about.loss_factor! } : { kind: "decay", rate: about.loss.decay_rate_per_s };
  const listeners = about.geometry.receivers_m ?? { "": about.geometry.listener_m! };
  test.each(Object.entries(listeners))("sound pressure per volume velocity at %s within 0.1 dB (independent modal sums, see spaces-README.md)", (place, listener) => {
    const room = rectangularRoom({ size, loss, box: about.geometry.source_m, listener });
    const transfer = spaceTransfer(room, [source], 1, frequencies, air);
    const away = spaceDistance(room, [source], 1);
    const re = heading.findIndex((h) => h.startsWith(place === "" ? "transfer_re" : `transfer_${place}_re`)), im = heading.findIndex((h) => h.startsWith(place === "" ? "transfer_im" : `transfer_${place}_im`));
    expect(re).toBeGreaterThan(0);
    let top = 0;
    for (const row of values) top = Math.max(top, Math.hypot(row[re]!, row[im]!));
    let worst = 0;
    values.forEach((row, f) => {
      const size = Math.hypot(row[re]!, row[im]!);
      if (size < top / 1000) return; // nulls 60 dB below the maximum
      worst = Math.max(worst, Math.abs(20 * Math.log10(Math.hypot(transfer.re[f]!, transfer.im[f]!) / size)));
    });
    expect(away).toBeGreaterThan(0);
    expect(worst).toBeLessThan(0.01); // asked: 0.1 dB; measured: 0.0042 dB and less
  });
});
