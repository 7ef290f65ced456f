import { ellipse, knots, limb, line, type Pt, shape } from '../ink/geometry.js';
import { Pen } from '../ink/pen.js';
import type { Sheet } from '../ink/sheet.js';
import { drawOdda } from './odda.js';
import type { Mood } from './odda-face.js';
import { poses } from './odda-poses.js';
import type { Scene } from './palette.js';

export interface BoatPlace {
  readonly x: number;
  /** The water line. */
  readonly y: number;
  /** Page units for one unit; the boat is 200 long. */
  readonly scale: number;
  readonly flip?: boolean;
  readonly turn?: number;
  /** Who is in it. */
  readonly crew?: 'rowing' | 'standing' | 'none';
  readonly mood?: Mood;
  readonly lantern?: boolean;
}

/** A clinker rowing boat from the side, its stem to the right, with Odda in it. */
export function drawBoat(sheet: Sheet, scene: Scene, place: BoatPlace): void {
  const { x, y, scale, flip = false, turn = 0, crew = 'rowing' } = place;
  const weight = Math.min(1.4, Math.max(0.45, scale * 1.2));
  const pen = new Pen(sheet, { x, y, scale, flip, turn }, weight);
  pen.solid(knots('-92,-26* -40,-17 40,-18 100,-40* 60,-10 -80,-8'), scene.cast.woodShade, 1.2);
  const seat = pen.at(ellipse(-8, crew === 'rowing' ? 8 : -2, 0.01)).points[0];
  const figure = {
    x: seat[0],
    y: seat[1],
    height: 112 * scale,
    flip,
    turn,
    cast: scene.cast,
    mood: place.mood ?? 'calm',
  } as const;
  if (crew === 'standing') drawOdda(sheet, { ...figure, height: 130 * scale }, poses.lift);
  if (crew === 'rowing') {
    oar(pen, scene, true);
    drawOdda(sheet, figure, poses.row);
  }
  hull(pen, scene);
  if (crew === 'rowing') oar(pen, scene, false);
  if (place.lantern) drawLantern(pen.on({ x: 92, y: -52 }), scene);
  wake(pen, scene);
}

function hull(pen: Pen, scene: Scene): void {
  const { cast } = scene;
  const body = pen.solid(knots('-92,-26* -40,-15 40,-16 102,-42* 92,-14 74,8* -80,8*'), cast.wood, 2);
  pen.within(body, () => {
    pen.tint(shape(knots('-100,-6 -20,-2 60,-6 110,-22* 110,20* -100,20*')), cast.woodShade);
    for (const dy of [8, 16])
      pen.stroke(
        [
          [-94, -24 + dy],
          [-40, -14 + dy],
          [40, -15 + dy],
          [100, -38 + dy],
        ],
        1,
        { swell: 0.1, thin: 0.2 },
      );
    pen.ink(shape(knots('-100,4 0,1 60,3 100,-8* 100,20* -100,20*')));
    pen.colour(knots('-90,-22 -40,-12 40,-13 98,-36'), 3, cast.brassLight);
  });
  pen.stroke(knots('-94,-27 -40,-16 40,-17 104,-44'), 2.6, { swell: 0.1, thin: 0.1 });
}

function oar(pen: Pen, scene: Scene, far: boolean): void {
  const dx = far ? 16 : 0;
  const start: Pt = [22 + dx, -38];
  const end: Pt = [-46 + dx * 2, far ? 2 : 12];
  pen.form(
    limb([start, [(start[0] + end[0]) / 2, (start[1] + end[1]) / 2], end], [3.4, 3.4, 3.4]),
    far ? scene.cast.woodShade : scene.cast.brass,
    1,
  );
  if (!far) pen.solid(knots('-42,8* -66,14 -72,22 -60,24 -44,14*'), scene.cast.brass, 1);
}

function wake(pen: Pen, scene: Scene): void {
  pen.colour(knots('-150,12 -80,8 0,9 80,7 126,12'), 4, scene.trim);
  pen.stroke(knots('-132,14 -70,10 10,12 84,9 112,14'), 1.4, { swell: 0.4 });
  pen.colour(knots('-120,22 -60,18 -10,20'), 3, scene.seaLight);
  pen.stroke(knots('20,20 60,17 104,21'), 1.1, { swell: 0.4 });
}

/** A storm lantern; 0,0 is the middle of its glass. Its light is a glow, so that it falls on what is near. */
export function drawLantern(pen: Pen, scene: Scene): void {
  pen.sheet.stroke(pen.at(line(knots('-7,-12 0,-24 7,-12'))), {
    weight: 1.1 * pen.weight,
    swell: 0,
    thin: 0,
  });
  pen.solid(knots('-8,-9* -4,-15* 4,-15* 8,-9*'), scene.cast.brassShade, 1);
  pen.solid(knots('-6,9* -7.5,0 -6,-9* 6,-9* 7.5,0 6,9*'), scene.lamp, 1.1);
  pen.tint(ellipse(0, 1, 3, 5.5), '#fffbe6');
  pen.solid(knots('-8,9* 8,9* 8,13.5* -8,13.5*'), scene.cast.brassShade, 1);
  const middle = pen.at(ellipse(0, 0, 0.01)).points[0];
  const edge = pen.at(ellipse(10, 0, 0.01)).points[0];
  const size = Math.hypot(edge[0] - middle[0], edge[1] - middle[1]);
  pen.sheet.glow(middle, size * 9, scene.lamp, 0.55);
  pen.sheet.glow(middle, size * 3, '#fff0c0', 0.8);
}
