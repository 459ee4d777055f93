import { solveSmall } from "./wall-loss.js";

/** Mechanics and coil of a moving-coil driver, with an eddy-current branch in series with the coil. */
export interface ConeDriver {
  /** effective cone area, m^2 */
  readonly Sd: number;
  /** moving mass, kg */
  readonly Mms: number;
  /** compliance, m/N */
  readonly Cms: number;
  /** mechanical resistance, N s/m */
  readonly Rms: number;
  /** force factor, T m */
  readonly Bl: number;
  /** direct-current resistance, ohm */
  readonly Re: number;
  /** coil inductance, H */
  readonly Le: number;
  /** inductance of the eddy branch, H; 0 = no branch */
  readonly L2: number;
  /** resistance parallel to it, ohm; 0 = no branch */
  readonly R2: number;
}

/** Cone and coil advanced in equal time steps. */
export interface MovingCone {
  /** coil current (A), current in the eddy inductance (A), velocity towards the front (m/s), displacement (m) */
  readonly state: Float64Array;
  /** one time step with the voltage (V) and the air's force against the front (N) at its middle */
  step(voltage: number, force: number): void;
}

/**
 * Cone and coil of a driver in time steps (s), trapezoidal rule; `airMass` (kg) rides with the cone.
 *
 * Bl i - Rms v - x/Cms - force = (Mms + airMass) dv/dt; u = Re i + Le di/dt + R2 (i - i2) + Bl v; L2 di2/dt = R2 (i - i2).
 * The states are equally spaced halfway between the instants of voltage and force. Source: textbook moving-coil equations; rule derived here.
 */
export function movingCone(driver: ConeDriver, options: { timeStep: number; airMass?: number }): MovingCone {
  const { Bl, Cms, Le, Re, Rms, L2, R2 } = driver;
  const branch = L2 > 0 && R2 > 0;
  const inertia = [Le, branch ? L2 : 1, driver.Mms + (options.airMass ?? 0), 1];
  const r2 = branch ? R2 : 0;
  const rate = [-Re - r2, r2, -Bl, 0, r2, -r2, 0, 0, Bl, 0, -Rms, -1 / Cms, 0, 0, 1, 0];
  const implicit = new Float64Array(16), explicit = new Float64Array(16);
  for (let i = 0; i < 4; i++) for (let j = 0; j < 4; j++) {
    const own = i === j ? inertia[i]! / options.timeStep : 0;
    implicit[i * 4 + j] = own - rate[i * 4 + j]! / 2;
    explicit[i * 4 + j] = own + rate[i * 4 + j]! / 2;
  }
  const advance = new Float64Array(16);
  for (let j = 0; j < 4; j++) {
    const column = solveSmall(implicit, Float64Array.from([0, 1, 2, 3], (i) => explicit[i * 4 + j]!));
    for (let i = 0; i < 4; i++) advance[i * 4 + j] = column[i]!;
  }
  const byVoltage = solveSmall(implicit, Float64Array.of(1, 0, 0, 0)), byForce = solveSmall(implicit, Float64Array.of(0, 0, -1, 0));
  const state = new Float64Array(4), next = new Float64Array(4);
  return {
    state,
    step(voltage: number, force: number): void {
      for (let i = 0; i < 4; i++) {
        let sum = byVoltage[i]! * voltage + byForce[i]! * force;
        for (let j = 0; j < 4; j++) sum += advance[i * 4 + j]! * state[j]!;
        next[i] = sum;
      }
      state.set(next);
    },
  };
}
