import { knots, limb } from '../ink/geometry.js';
import { Pen } from '../ink/pen.js';
import type { Sheet } from '../ink/sheet.js';
import { bodyPlates, legs, neckTube } from './heron-body.js';
import { heronHead } from './heron-head.js';
import { foldedWing, wing } from './heron-wing.js';
import type { Cast } from './palette.js';

export interface HeronPlace {
  readonly x: number;
  readonly y: number;
  /** Page units for one unit of the bird; its body is 100 long. */
  readonly scale: number;
  readonly flip?: boolean;
  readonly turn?: number;
  readonly cast: Cast;
  /** Carries the key in its beak. */
  readonly key?: boolean;
}

/** The clockwork heron standing; it looks left, and its feet are at 0,0. */
export function drawHeronStanding(sheet: Sheet, place: HeronPlace): void {
  const pen = penFor(sheet, place);
  const { cast } = place;
  legs(pen, cast);
  const body = pen.on({ x: 0, y: -78 });
  neckTube(body, cast, knots('-38,-14 -62,-34 -44,-62 -60,-92'), [24, 17, 13, 11]);
  bodyPlates(body, cast);
  foldedWing(body, cast);
  heronHead(body.on({ x: -60, y: -98 }), cast, place.key ?? false);
}

/** The heron in flight to the left, its wings raised or lowered. */
export function drawHeronFlying(sheet: Sheet, place: HeronPlace, wings: 'up' | 'down' = 'up'): void {
  const pen = penFor(sheet, place);
  const { cast } = place;
  const up = wings === 'up' ? 1 : -1;
  wing(pen, cast, { root: [-6, -12], elbow: [20, -46 * up - 6], tip: [66, -96 * up - 8], far: true, up });
  for (const [y, end] of [
    [4, 14],
    [9, 22],
  ])
    pen.form(
      limb(
        [
          [48, y],
          [92, y + 6],
          [136, end],
        ],
        [4.5, 3.4, 2.6],
      ),
      cast.brassShade,
      1,
    );
  neckTube(pen, cast, knots('-36,-8 -62,2 -72,-26 -100,-24'), [24, 17, 13, 11]);
  bodyPlates(pen, cast);
  heronHead(pen.on({ x: -104, y: -28, turn: -8 }), cast, place.key ?? false);
  wing(pen, cast, { root: [-18, -14], elbow: [-4, -58 * up - 6], tip: [34, -126 * up - 8], far: false, up });
}

/** The head alone, for close views; it looks left, its eye at 0,0. */
export function drawHeronHead(sheet: Sheet, place: HeronPlace): void {
  const pen = penFor(sheet, place);
  neckTube(pen, place.cast, knots('6,6 20,30 8,70 30,130'), [12, 15, 17, 22]);
  heronHead(pen, place.cast, place.key ?? false);
}

function penFor(sheet: Sheet, { x, y, scale, flip = false, turn = 0 }: HeronPlace): Pen {
  return new Pen(sheet, { x, y, scale, flip, turn }, Math.min(1.7, Math.max(0.42, scale * 1.05)));
}
