import type { Air } from "../air/air.js";
import { InputError } from "../errors.js";
import { type Enclosed, type EnclosedLoss, extentOfSize } from "./enclosed.js";
import { makePlacement, type PlacementOptions, type Point } from "./places.js";
import { checkTabulated, type Tabulated, tabulatedAt } from "./tabulated.js";

/**
 * What a room takes from the sound:
 * - "decay": amplitudes fall as e^{-dt}; every mode, the zeroth included, has kn^2 - (w^2 - 2 j d w)/c^2 below it
 * - "absorption": the same, the decay from the absorption of the walls
 * - "loss factor": each mode has kn^2 (1 + j eta) - w^2/c^2 below it; the zeroth is not damped
 */
export type RoomLoss =
  | {
      readonly kind: "decay";
      /** decay rate, 1/s: 6.908 over the reverberation time */
      readonly rate: Tabulated;
    }
  | {
      readonly kind: "absorption";
      /** mean absorption coefficient of all walls, no unit, 0 to 1 */
      readonly coefficient: Tabulated;
      /** how the decay follows from it */
      readonly law: "Sabine" | "Eyring";
    }
  | {
      readonly kind: "loss factor";
      /** no unit */
      readonly factor: number;
    };

/** A rectangular room with rigid walls and a loss. */
export interface Room extends Enclosed {
  readonly kind: "room";
  /** "room of 5 m x 4 m x 2.5 m" */
  readonly name: string;
  readonly loss: RoomLoss;
}

/** What a room is made from. */
export interface RoomOptions extends PlacementOptions {
  /** length (x), width (y) and height (z), m; places are counted from one corner on the floor */
  readonly size: Point;
  readonly loss: RoomLoss;
}

/** Modes that get the loss factor one by one, about; those above get the same as a decay, which at each resonance is the same. */
const ownCount = 400;

/**
 * A rectangular room with rigid walls, m; box, openings and listener anywhere in it. With a constant loss factor the 400 lowest modes have it exactly.
 *
 * @throws InputError  when a size, a place or the loss is out of range
 *
 * Source: Morse & Ingard, Theoretical Acoustics, 1968, section 9.4; Kuttruff, Room Acoustics, chapter 3.
 */
export function rectangularRoom(options: RoomOptions): Room {
  const { size, loss } = options;
  checkSize(size, "room.size");
  checkLoss(loss);
  if (options.box === undefined) throw new InputError({ where: "room.box", came: "nothing", expected: "the place of the box is expected" });
  return Object.freeze({
    kind: "room",
    name: `room of ${size.map((x) => `${Number(x.toPrecision(3))} m`).join(" x ")}`,
    size: Object.freeze([size[0], size[1], size[2]] as const),
    placement: makePlacement(options, extentOfSize(size), "room"),
    loss: Object.freeze({ ...loss }),
  });
}

/** The loss of a room as its modes feel it. */
export function roomLoss({ loss, size }: Room): EnclosedLoss {
  const factor = loss.kind === "loss factor" ? loss.factor : undefined;
  return {
    waveNumberSquared(omega, air) {
      const kk = (omega / air.soundSpeed) ** 2;
      if (factor !== undefined) return [kk, -kk * factor];
      return [kk, (-2 * decayRate(loss, size, omega / (2 * Math.PI), air) * omega) / air.soundSpeed ** 2];
    },
    own:
      factor === undefined || factor === 0
        ? undefined
        : {
            count: ownCount,
            scale: 1,
            stiffness(omega, air, { squares }, re, im) {
              const kk = (omega / air.soundSpeed) ** 2;
              for (let n = 0; n < squares.length; n++) {
                re[n] = squares[n]! - kk;
                im[n] = squares[n]! * factor;
              }
            },
          },
  };
}

/** Three positive lengths of at most 1 km. */
export function checkSize(size: Point, where: string): void {
  if (size.length !== 3 || !size.every((x) => x >= 0.05 && x <= 1000)) {
    throw new InputError({ where, came: `(${size.join(", ")}) m`, expected: "length, width and height from 0.05 m to 1000 m are expected" });
  }
  if (Math.max(...size) > 100 * Math.min(...size)) {
    throw new InputError({ where, came: `(${size.join(", ")}) m`, expected: "no side longer than 100 times another is expected", hint: "a space as long and thin as that is a duct" });
  }
}

function checkLoss(loss: RoomLoss): void {
  if (loss.kind === "decay") checkTabulated(loss.rate, "room.decay", { range: [0, 1e4], unit: " 1/s" });
  else if (loss.kind === "absorption") checkTabulated(loss.coefficient, "room.absorption", { range: [0, loss.law === "Eyring" ? 0.99 : 1], unit: "" });
  else checkTabulated(loss.factor, "room.lossFactor", { range: [0, 1], unit: "" });
}

/**
 * Decay rate of a room at a frequency (Hz), 1/s: amplitudes fall as e^{-dt}. From absorption it is c S a / (8 V), after Eyring with -ln(1 - a) for a.
 * For a loss factor it is that of a mode at this frequency, eta w / 2.
 *
 * Source: Sabine 1922, T = (24 ln 10 / c) V / (S a); Eyring, J. Acoust. Soc. Am. 1 (1930) 217; T = 3 ln 10 / d.
 */
export function decayRate(loss: RoomLoss, size: Point, frequency: number, air: Air): number {
  if (loss.kind === "decay") return tabulatedAt(loss.rate, frequency);
  if (loss.kind === "loss factor") return Math.PI * frequency * loss.factor;
  const [lx, ly, lz] = size, volume = lx * ly * lz, surface = 2 * (lx * ly + ly * lz + lz * lx);
  const coefficient = tabulatedAt(loss.coefficient, frequency);
  const exponent = loss.law === "Eyring" ? -Math.log(1 - coefficient) : coefficient;
  return (air.soundSpeed * surface * exponent) / (8 * volume);
}

/** Reverberation time at a frequency (Hz), s: 60 dB of decay; infinite where nothing is lost. */
export function reverberationTime(room: Pick<Room, "loss" | "size">, frequency: number, air: Air): number {
  return (3 * Math.LN10) / decayRate(room.loss, room.size, frequency, air);
}

/**
 * Schroeder frequency of a room, Hz: above it modes overlap threefold. 2000 sqrt(T / V) at 343 m/s, with the reverberation time at the frequency itself.
 *
 * Source: Schroeder, J. Acoust. Soc. Am. 99 (1996) 3240.
 */
export function schroederFrequency(room: Pick<Room, "loss" | "size">, air: Air): number {
  const volume = room.size[0] * room.size[1] * room.size[2];
  let f = 200;
  for (let i = 0; i < 40; i++) f = Math.sqrt(f * Math.min(1e6, 2000 * Math.sqrt(reverberationTime(room, f, air) / volume)));
  return f;
}
