/**
 * A stream of numbers from 0 up to 1 that is the same on every machine for the same seed. A Weyl sequence put through
 * a bit mixer; good enough for grain and wobble, not for anything secret.
 */
export function randomFrom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x9e3779b9) >>> 0;
    return mixBits(state) / 0x100000000;
  };
}

/** A repeatable value from 0 up to 1 for a whole-number place in a lattice. */
export function latticeValue(x: number, y: number, seed: number): number {
  return (
    mixBits((Math.imul(x, 0x27d4eb2d) ^ Math.imul(y, 0x165667b1) ^ Math.imul(seed, 0x9e3779b1)) >>> 0) /
    0x100000000
  );
}

/** Smooth noise from -1 to 1 along a line. */
export function noise1(x: number, seed: number): number {
  const cell = Math.floor(x);
  const t = ease(x - cell);
  const a = latticeValue(cell, 0, seed);
  const b = latticeValue(cell + 1, 0, seed);
  return 2 * (a + (b - a) * t) - 1;
}

/** Smooth noise from -1 to 1 over the plane. */
export function noise2(x: number, y: number, seed: number): number {
  const cx = Math.floor(x);
  const cy = Math.floor(y);
  const tx = ease(x - cx);
  const ty = ease(y - cy);
  const top = mix(latticeValue(cx, cy, seed), latticeValue(cx + 1, cy, seed), tx);
  const bottom = mix(latticeValue(cx, cy + 1, seed), latticeValue(cx + 1, cy + 1, seed), tx);
  return 2 * mix(top, bottom, ty) - 1;
}

function mix(a: number, b: number, t: number): number {
  return a + (b - a) * t;
}

function ease(t: number): number {
  return t * t * (3 - 2 * t);
}

function mixBits(value: number): number {
  let h = value | 0;
  h = Math.imul(h ^ (h >>> 16), 0x21f0aaad);
  h = Math.imul(h ^ (h >>> 15), 0x735a2d97);
  return (h ^ (h >>> 15)) >>> 0;
}
