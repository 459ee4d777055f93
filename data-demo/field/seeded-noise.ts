/** Seeded source of independent normal values with mean 0 and variance 1; no unit. Source: 32-bit integer mixing (from memory), Box and Muller 1958. */
export function seededNoise(seed: number): () => number {
  let state = seed >>> 0;
  const uniform = (): number => {
    state = (state + 0x9e3779b9) >>> 0;
    let mixed = state;
    mixed = Math.imul(mixed ^ (mixed >>> 16), 0x85ebca6b);
    mixed = Math.imul(mixed ^ (mixed >>> 13), 0xc2b2ae35);
    return (((mixed ^ (mixed >>> 16)) >>> 0) + 0.5) / 4294967296;
  };
  let kept: number | undefined;
  return () => {
    if (kept !== undefined) { const value = kept; kept = undefined; return value; }
    const radius = Math.sqrt(-2 * Math.log(uniform())), angle = 2 * Math.PI * uniform();
    kept = radius * Math.sin(angle);
    return radius * Math.cos(angle);
  };
}
