import type { VoiceCoil } from "./voice-coil.js";

/**
 * The complete small-signal parameter set of a driver, SI units. Mms holds the air load, as the trade measures it.
 * Definitions: R. H. Small, "Direct-radiator loudspeaker system analysis", J. Audio Eng. Soc. 20 (1972) 383.
 */
export interface DriverParameters {
  /** direct-current resistance of the voice coil, ohm */
  readonly Re: number;
  /** inductance of the voice coil, H; 0 when not known */
  readonly Le: number;
  /** resonance frequency in free air, Hz */
  readonly fs: number;
  /** mechanical quality factor at fs, no unit */
  readonly Qms: number;
  /** electrical quality factor at fs, no unit */
  readonly Qes: number;
  /** total quality factor at fs, no unit */
  readonly Qts: number;
  /** volume of air as stiff as the suspension, m^3 */
  readonly Vas: number;
  /** effective area of the cone, m^2 */
  readonly Sd: number;
  /** force factor, T m */
  readonly Bl: number;
  /** moving mass with the air load, kg */
  readonly Mms: number;
  /** compliance of the suspension, m/N */
  readonly Cms: number;
  /** mechanical resistance of the suspension, N s/m */
  readonly Rms: number;
  /** linear excursion, one way, peak, m; undefined when not given */
  readonly Xmax: number | undefined;
  /** rated power, W; undefined when not given */
  readonly ratedPower: number | undefined;
  /** nominal impedance, ohm; undefined when not given */
  readonly nominalImpedance: number | undefined;
}

/** Parameters and the model of the voice coil: what the network needs to know of a driver. */
export interface MotorParameters extends DriverParameters {
  /** inductive part of the voice coil; a plain inductance Le when missing */
  readonly coil?: VoiceCoil;
}

/** A driver: its name, its parameters, and which of them were given. */
export interface Driver extends MotorParameters {
  /** plain text, escaped wherever it is shown */
  readonly name: string;
  /** names of the parameters that the user gave; all others were derived from them */
  readonly given: readonly (keyof DriverParameters)[];
  /** air in which Vas was related to Cms: density kg/m^3 and sound speed m/s */
  readonly air: { readonly density: number; readonly soundSpeed: number };
}
