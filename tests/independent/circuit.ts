import type { DuctSection, Network, Wiring } from "../../src/acoustics/network.js";
import type { Drive } from "../../src/acoustics/solve.js";

/** What a lossless circuit needs to know of the air. */
export interface CircuitAir {
  /** kg/m^3 */
  readonly density: number;
  /** m/s */
  readonly soundSpeed: number;
}

/** What to ask the simulator for, in the names that it gives back. */
export interface Circuit {
  readonly text: string;
  /** names of node voltages by node */
  readonly pressure: ReadonlyMap<string, string>;
  /** names of currents by opening */
  readonly flow: ReadonlyMap<string, string>;
  /** names of currents by driver: current of the coil */
  readonly coil: ReadonlyMap<string, string>;
  /** names of currents by driver: velocity of the cone */
  readonly velocity: ReadonlyMap<string, string>;
}

/** Area of a section at a share of its length, from the definition of each flare, m^2. */
export function profile({ flare, areaStart: a, areaEnd: b, length, curvature = 0 }: DuctSection, share: number): number {
  switch (flare) {
    case "uniform":
      return a;
    case "conical":
      return (Math.sqrt(a) * (1 - share) + Math.sqrt(b) * share) ** 2;
    case "exponential":
      return Math.exp(Math.log(a) * (1 - share) + Math.log(b) * share);
    case "parabolic":
      return a * (1 - share) + b * share;
    case "hyperbolic": {
      // y = C cosh(m x) + D sinh(m x) through both ends
      const m = curvature * length;
      if (m < 1e-7) return (Math.sqrt(a) * (1 - share) + Math.sqrt(b) * share) ** 2;
      const C = Math.sqrt(a), D = (Math.sqrt(b) - C * Math.cosh(m)) / Math.sinh(m);
      return (C * Math.cosh(m * share) + D * Math.sinh(m * share)) ** 2;
    }
  }
}

const digits = (x: number): string => x.toPrecision(17);

/**
 * A network as a circuit for a general circuit simulator: pressure is voltage and volume velocity current; a lossless duct is a staircase of so many transmission
 * lines (a uniform one is one line, exact), the motor two controlled sources for each driver, the cone three more. Nothing of our solver is used.
 *
 * Source: analogous circuits after Beranek & Mellow, Acoustics, 2012, chapter 3; flares Salmon, J. Acoust. Soc. Am. 17 (1946) 199.
 */
export function circuitOf(network: Network, drive: Drive, air: CircuitAir, sweep: { readonly from: number; readonly to: number; readonly count: number }, lines: number): Circuit {
  const card: string[] = ["analogous circuit"];
  const { density: rho, soundSpeed: c } = air;
  const node = (name: string): string => `a_${name.replace(/\W/g, "_")}`;
  const nodes = new Set<string>(), flow = new Map<string, string>(), coil = new Map<string, string>(), velocity = new Map<string, string>();
  const use = (name: string): string => {
    nodes.add(name);
    return node(name);
  };
  let count = 0;
  const chain = (from: string, to: string, parts: readonly (readonly [letter: string, value: number])[]): void => {
    let here = from;
    parts.forEach(([letter, value], i) => {
      const next = i === parts.length - 1 ? to : `x_${++count}`;
      card.push(`${letter}${++count} ${here} ${next} ${digits(value)}`);
      here = next;
    });
  };
  network.elements.forEach((e, place) => {
    if (e.kind === "volume") card.push(`cv${place} ${use(e.node)} 0 ${digits(e.volume / (rho * c * c))}`);
    else if (e.kind === "lumped") {
      const parts: (readonly [string, number])[] = [];
      if (e.resistance > 0) parts.push(["r", e.resistance]);
      if (e.mass > 0) parts.push(["l", e.mass]);
      if (e.compliance !== undefined) parts.push(["c", e.compliance]);
      chain(use(e.from), use(e.to), parts);
    } else if (e.kind === "opening") {
      const load = e.load, end = load.kind === "release" ? "0" : `o_${place}`;
      card.push(`vo${place} ${use(e.node)} ${end} 0`);
      flow.set(e.name, `i(vo${place})`);
      if (load.kind === "parallel") card.push(`rp${place} ${end} 0 ${digits(load.resistance)}`, `lp${place} ${end} q_${place} ${digits(load.mass)}`, `rq${place} q_${place} 0 ${digits(1e-9 * load.mass)}`);
      else if (load.kind === "series") chain(end, "0", load.mass > 0 ? [["r", load.resistance], ["l", load.mass]] : [["r", load.resistance]]);
      else if (load.kind === "space") throw new Error("a circuit has no space");
    } else {
      const pieces: { readonly length: number; readonly area: number }[] = [];
      for (const s of e.sections) {
        if (s.flare === "turn") throw new Error("a circuit has no turns");
        const n = s.flare === "uniform" ? 1 : lines;
        if (s.length > 0) for (let i = 0; i < n; i++) pieces.push({ length: s.length / n, area: profile(s, (i + 0.5) / n) });
      }
      let here = use(e.from);
      pieces.forEach((p, i) => {
        const next = i === pieces.length - 1 ? use(e.to) : `d${place}_${i}`;
        card.push(`t${++count} ${here} 0 ${next} 0 z0=${digits((rho * c) / p.area)} td=${digits(p.length / c)}`);
        here = next;
      });
    }
  });
  network.drivers.forEach(({ name, driver: q, front, back }, d) => {
    const f = use(front), b = use(back);
    coil.set(name, `i(vi${d})`);
    velocity.set(name, `i(vv${d})`);
    // electrical: resistance, inductance, eddy branch, back electromotive force
    card.push(`vi${d} ep${d} ea${d} 0`, `re${d} ea${d} eb${d} ${digits(q.Re)}`);
    if (q.Le > 0) card.push(`le${d} eb${d} ec${d} ${digits(q.Le)}`);
    const behind = q.Le > 0 && (q.coil === undefined || q.coil.kind !== "power law") ? `ec${d}` : `eb${d}`;
    if (q.coil?.kind === "power law") throw new Error("a circuit has no broken powers");
    if (q.coil?.kind === "eddy") card.push(`lk${d} ${behind} ed${d} ${digits(q.coil.L2)}`, `rk${d} ${behind} ed${d} ${digits(q.coil.R2)}`);
    const last = q.coil?.kind === "eddy" ? `ed${d}` : behind;
    card.push(`hb${d} ${last} en${d} vv${d} ${digits(q.Bl)}`);
    // mechanical loop: force, velocity, resistance, mass, spring, pressure on the faces
    card.push(`hf${d} ma${d} 0 vi${d} ${digits(q.Bl)}`, `vv${d} ma${d} mb${d} 0`);
    chain(`mb${d}`, `mc${d}`, [["r", q.Rms], ["l", q.Mms], ["c", q.Cms]]);
    card.push(`ef${d} mc${d} 0 ${f} ${b} ${digits(q.Sd)}`, `ff${d} 0 ${f} vv${d} ${digits(q.Sd)}`, `fb${d} ${b} 0 vv${d} ${digits(q.Sd)}`);
  });
  // terminals of the drivers joined as the wiring says, by nodes (our solver joins by equations)
  const join = (part: Wiring, top: string, bottom: string): void => {
    if (part.kind === "driver") {
      const d = network.drivers.findIndex((p) => p.name === part.name);
      const [plus, minus] = part.reversed === true ? [bottom, top] : [top, bottom];
      card.push(`vj${++count} ${plus} ep${d} 0`, `vj${++count} en${d} ${minus} 0`);
    } else if (part.kind === "parallel") part.parts.forEach((p) => join(p, top, bottom));
    else {
      const id = ++count, inner = (i: number): string => `w${id}_${i}`;
      part.parts.forEach((p, i) => join(p, i === 0 ? top : inner(i), i === part.parts.length - 1 ? bottom : inner(i + 1)));
    }
  };
  card.push(`vs top 0 dc 0 ac ${digits(drive.voltage)}`);
  if (drive.sourceResistance > 0) card.push(`rs top in ${digits(drive.sourceResistance)}`);
  else card.push("vt top in 0");
  join(network.wiring, "in", "0");
  const pressure = new Map([...nodes].map((name) => [name, `v(${node(name)})`]));
  card.push(`.ac lin ${sweep.count} ${sweep.from} ${sweep.to}`, `.save ${[...pressure.values(), ...flow.values(), ...coil.values(), ...velocity.values(), "i(vs)"].join(" ")}`, ".options noopac", ".end");
  return { text: card.join("\n"), pressure, flow, coil, velocity };
}
