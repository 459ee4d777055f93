import type { Air } from "../air/air.js";
import { InputError } from "../errors.js";
import type { Cabin } from "./cabin.js";
import type { Walls } from "./enclosed.js";
import { type Flex, flexAdmittance, type FlexingSides, type FlexOptions } from "./flex.js";
import type { Extent, Placement, Point } from "./places.js";
import { depthInside, type Profile } from "./profile.js";
import { imagesInProfile, profileField, type ProfileLoss } from "./profile-field.js";

/** Farthest a place may be outside a profile, m: what rounding of corners leaves. */
const outside = 1e-6;

/** Every place that was given lies inside the profile.
 *
 * @throws InputError  naming the place that does not
 */
export function checkInside(profile: Profile, { box, places, listener }: Placement): void {
  const all: readonly (readonly [string, Point | undefined])[] = [["box", box], ...Object.entries(places).map(([name, at]) => [`places.${name}`, at] as const), ["listener", listener]];
  for (const [name, at] of all) {
    if (at === undefined) continue;
    const depth = depthInside(profile, [at[0], at[2]]);
    if (depth < -outside) throw new InputError({ where: `cabin.${name}`, came: `x = ${at[0]} m, z = ${at[2]} m lies ${Number((-depth).toPrecision(2))} m outside the profile`, expected: "a place inside it is expected" });
  }
}

/** The walls of a cabin with a profile, with its modes. */
export function profileWalls(cabin: Cabin, profile: Profile, air: Air): Walls {
  const { placement } = cabin, loss = profileLoss(cabin, profile);
  const inside = (point: Point): Point => {
    // places that are not given, such as the back of a baffle: towards the box
    if (depthInside(profile, [point[0], point[2]]) >= -outside) return point;
    let near = 0, far = 1;
    const between = (t: number): Point => [placement.box[0] + t * (point[0] - placement.box[0]), point[1], placement.box[2] + t * (point[2] - placement.box[2])];
    for (let i = 0; i < 40; i++) {
      const t = (near + far) / 2, [x, , z] = between(t);
      if (depthInside(profile, [x, z]) >= 0) near = t;
      else far = t;
    }
    return between(near);
  };
  return { kind: "cabin", placement, extent: extentOfProfile(profile), inside, images: (point, from) => imagesInProfile(profile, point, from), field: (pairs) => profileField(profile, loss, pairs, air) };
}

/** What the modes of a profile feel: each edge gives way by the part of its direction that stands across the length or the height. */
function profileLoss({ volume, leak, flex, lossFactor, modes }: Cabin, profile: Profile): ProfileLoss {
  const known = new Map(modes.map(({ order, frequency }) => [`${order[0]},${order[1]}`, frequency]));
  const edges = flex === undefined ? profile.corners.map(() => 0) : edgeWeights(profile, flex.sides);
  const onEdges = profile.corners.reduce((sum, _, i) => sum + edges[i]! * edgeLength(profile, i) * profile.width, 0);
  const onSides = flex?.sides.includes("width") === true ? 2 * profile.area : 0;
  return {
    volume,
    lossFactor,
    edges,
    edgeShare: onEdges === 0 ? 0 : onEdges / (onEdges + onSides),
    known: (mode, across, air) => {
      const frequency = known.size === 0 ? undefined : known.get(`${mode},${across}`);
      return frequency === undefined ? undefined : ((2 * Math.PI * frequency) / air.soundSpeed) ** 2;
    },
    walls: (omega) => (flex === undefined ? none : flexAdmittance(flex, omega)),
    leak: leak === undefined ? 0 : 1 / leak,
  };
}

const none = [0, 0] as const;

function edgeLength({ corners }: Profile, i: number): number {
  const [a, b] = [corners[i]!, corners[(i + 1) % corners.length]!];
  return Math.hypot(b[0] - a[0], b[1] - a[1]);
}

function edgeWeights(profile: Profile, sides: FlexingSides): readonly number[] {
  return profile.corners.map((a, i) => {
    const b = profile.corners[(i + 1) % profile.corners.length]!, length = edgeLength(profile, i);
    return (sides.includes("length") ? ((b[1] - a[1]) / length) ** 2 : 0) + (sides.includes("height") ? ((b[0] - a[0]) / length) ** 2 : 0);
  });
}

/** Walls with an impedance but without an area have that of the drawn profile. */
export function flexOn(flex: FlexOptions, profile: Profile | undefined): Flex {
  if (flex.kind === "compliance" || flex.area !== undefined) return flex as Flex;
  if (profile === undefined) throw new InputError({ where: "cabin.flex.area", came: "nothing", expected: "the area of the walls that give way is expected" });
  const weights = edgeWeights(profile, flex.sides), edges = weights.reduce((sum, weight, i) => sum + weight * edgeLength(profile, i) * profile.width, 0);
  return { ...flex, area: edges + (flex.sides.includes("width") ? 2 * profile.area : 0) };
}

/** Room for places in the box around a profile, m. */
export function extentOfProfile({ along, up, width }: Profile): Extent {
  return [along, [0, width], up];
}
