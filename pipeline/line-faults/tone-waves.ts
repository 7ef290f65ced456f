import { tileCells, type Wave } from './tone-tiles.js';

/** The waves that make a screen, in the spectrum of one tile: half a plane, across -32 to 31, down 0 to 32. */

/** Slower waves are drawing, in cycles a tile: 23 lines an inch. Own choice: the coarsest tones have some 27. */
const slowest = 5;

/** What is held against a peak: waves from so much slower to so much faster than it. Hatching by hand fills that, a screen does not. */
const slower = 0.6;
const faster = 1.5;

/** Shares of that which the peaks of dots and of ruled lines have at least. Own choice, tried on drawn pages. */
const dotShare = 0.5;
const lineShare = 0.8;

/** The second direction of dots has at least this share of the first. Own choice. */
const secondShare = 0.2;
/** Dots are as far from each other in both directions, to this share, which are 90 degrees apart, or 60, to so many. Own choice. */
const sameSpacing = 0.06;
const mostTurnedDegrees = 4;

const half = tileCells / 2;

/** Waves of a screen: one for lines, two for dots. */
export type ScreenWaves = readonly [Wave] | readonly [Wave, Wave];

/** Finds the waves of a screen; undefined where the tile has none. */
export function wavesOf(powers: Float64Array): ScreenWaves | undefined {
  const first = peakOf(powers, (radius) => radius >= slowest);
  if (first === undefined) return undefined;
  const radius = Math.hypot(first.u, first.v);
  const around = sumOf(powers, (far) => far >= slower * radius && far <= faster * radius);
  // A spectrum has steps: what is near is looked at, and held against the other direction between the steps.
  const second = peakOf(
    powers,
    (far, u, v) => far >= 0.8 * radius && far <= 1.25 * radius && crossing(first, { u, v }) >= 45,
  );
  const own = lobeOf(powers, first);
  const others = second === undefined ? 0 : lobeOf(powers, second);
  if (second !== undefined && others >= secondShare * own && own + others >= dotShare * around) {
    const waves = [refined(powers, first), refined(powers, second)] as const;
    return isScreen(...waves) ? waves : undefined;
  }
  return own >= lineShare * around ? [refined(powers, first)] : undefined;
}

/** Whether two waves are those of dots in a square or a hexagon. */
function isScreen(one: Wave, other: Wave): boolean {
  const [a, b] = [one, other].map(({ across, down }) => ({ u: across, v: down }));
  const spacing = Math.hypot(a.u, a.v) / Math.hypot(b.u, b.v);
  const apart = crossing(a, b);
  const turned = Math.min(90 - apart, Math.abs(60 - apart));
  return Math.abs(spacing - 1) <= sameSpacing && turned <= mostTurnedDegrees;
}

/** The angle between two directions, 0 to 90 degrees. */
function crossing(one: Peak, other: Peak): number {
  const cos =
    Math.abs(one.u * other.u + one.v * other.v) / Math.hypot(one.u, one.v) / Math.hypot(other.u, other.v);
  return (Math.acos(Math.min(1, cos)) * 180) / Math.PI;
}

interface Peak {
  readonly u: number;
  readonly v: number;
}

type Asked = (radius: number, u: number, v: number) => boolean;

const radii = Float64Array.from({ length: tileCells * (half + 1) }, (_, at) =>
  Math.hypot((at % tileCells) - half, Math.floor(at / tileCells)),
);

/** The strongest wave of those that are asked, at the edge of what cells can show none. */
function peakOf(powers: Float64Array, asks: Asked): Peak | undefined {
  let [most, found] = [0, -1];
  for (let at = 0; at < powers.length; at++) {
    if (powers[at] <= most) continue;
    const [u, v] = [(at % tileCells) - half, Math.floor(at / tileCells)];
    if (Math.abs(u) >= half - 1 || v >= half - 1 || !asks(radii[at], u, v)) continue;
    [most, found] = [powers[at], at];
  }
  return found === -1 ? undefined : { u: (found % tileCells) - half, v: Math.floor(found / tileCells) };
}

/** Each wave of the plane counted once: those that run straight across stand on both sides. */
function sumOf(powers: Float64Array, asks: (radius: number) => boolean): number {
  let sum = 0;
  for (let at = 0; at < powers.length; at++) {
    if (asks(radii[at])) sum += at < tileCells ? powers[at] / 2 : powers[at];
  }
  return sum;
}

/** @returns also of waves below half the plane, which are those above it seen from the other side */
function powerAt(powers: Float64Array, u: number, v: number): number {
  const [across, down] = v < 0 ? [-u, -v] : [u, v];
  return powers[down * tileCells + across + half] ?? 0;
}

/** What the taper has spread of a wave around its peak. */
function lobeOf(powers: Float64Array, { u, v }: Peak): number {
  let sum = 0;
  for (let y = v - 1; y <= v + 1; y++) for (let x = u - 1; x <= u + 1; x++) sum += powerAt(powers, x, y);
  return sum;
}

/** The peak between the steps of the spectrum: of the parabola through the logarithms of three. */
function refined(powers: Float64Array, { u, v }: Peak): Wave {
  const between = (before: number, at: number, after: number) => {
    const [a, b, c] = [before, at, after].map((power) => Math.log(power + 1e-9));
    const bend = a - 2 * b + c;
    return bend === 0 ? 0 : (0.5 * (a - c)) / bend;
  };
  const at = powerAt(powers, u, v);
  const across = u + between(powerAt(powers, u - 1, v), at, powerAt(powers, u + 1, v));
  const down = v + between(powerAt(powers, u, v - 1), at, powerAt(powers, u, v + 1));
  return { across: across / tileCells, down: down / tileCells };
}
