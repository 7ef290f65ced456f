import { ellipse, knots, type Pt, polygon, shape, straight } from '../ink/geometry.js';
import { Pen } from '../ink/pen.js';
import type { Sheet } from '../ink/sheet.js';
import type { TowerPlace } from './lighthouse.js';
import type { Scene } from './palette.js';

/** The drowned town's clock tower, 300 high above the water. Returns the middle of its face on the page. */
export function drawClockTower(
  sheet: Sheet,
  scene: Scene,
  { x, base, scale, weight = 1 }: TowerPlace,
  lit = false,
): Pt {
  const pen = new Pen(sheet, { x, y: base, scale }, weight);
  const shaft = pen.solid(knots('-44,8* -40,-196* 40,-196* 44,8*'), scene.stone, 2);
  pen.within(shaft, () => {
    sheet.shade(shaft, scene.shadow, [x - 44 * scale, 0], [x + 30 * scale, 0], 0.9, 0);
    sheet.shade(shaft, scene.shadow, [0, base - 60 * scale], [0, base], 0, 0.8);
    pen.ink(polygon(knots('-50,10 -46,-200 -31,-200 -34,-120 -28,-60 -36,10')));
    courses(pen);
  });
  belfry(pen, scene, lit);
  roof(pen, scene);
  clockFace(pen.on({ x: 2, y: -150 }), scene, lit);
  doorway(pen, scene, lit);
  return pen.at(ellipse(2, -150, 0.01)).points[0];
}

function courses(pen: Pen): void {
  for (let row = 0; row < 19; row++) {
    const y = -8 - row * 10;
    for (let i = 0; i < 4; i++) {
      const px = -30 + ((row * 37 + i * 23) % 66);
      pen.stroke(straight(px, y, px + 8 + ((row * 5 + i * 3) % 7), y), 0.8);
      if ((row + i) % 3 === 0) pen.stroke(straight(px + 4, y, px + 4, y + 9), 0.7);
    }
  }
}

function belfry(pen: Pen, scene: Scene, lit: boolean): void {
  pen.solid(knots('-48,-196* -48,-206* 48,-206* 48,-196*'), scene.stone, 1.6);
  pen.solid(knots('-38,-206* -38,-246* 38,-246* 38,-206*'), scene.stoneShade, 1.8);
  for (const px of [-20, 2, 24]) {
    const arch = shape([
      [px - 8, -207, 1],
      [px - 8, -230, 1],
      [px, -240],
      [px + 8, -230, 1],
      [px + 8, -207, 1],
    ]);
    if (lit) pen.form(arch, scene.lamp, 1.2);
    else pen.black(arch, scene.deep);
  }
}

function roof(pen: Pen, scene: Scene): void {
  const spire = pen.solid(knots('-46,-244* -26,-262 -6,-312* 6,-312* 26,-262 46,-244*'), scene.roofs[0], 2);
  pen.within(spire, () => {
    pen.ink(shape(knots('-60,-240* -28,-264 -8,-316* -2,-316* -14,-262 -20,-240*')));
    for (let k = 0; k < 6; k++)
      pen.stroke(
        [
          [-10, -300 + k * 10],
          [8 + k * 4, -298 + k * 10],
          [16 + k * 6, -300 + k * 10],
        ],
        0.9,
      );
  });
  pen.stroke(straight(0, -312, 0, -338), 2, { swell: 0, thin: 0.3 });
  pen.stroke(knots('-10,-328 0,-331 12,-327'), 1.6);
}

function clockFace(pen: Pen, scene: Scene, lit: boolean): void {
  pen.form(ellipse(0, 0, 30), scene.cast.brassShade, 1.8);
  const face = pen.form(ellipse(0, 0, 25.5), lit ? '#ffe9a8' : scene.trim, 1.3);
  for (let hour = 0; hour < 12; hour++) {
    const angle = (hour / 12) * 2 * Math.PI;
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    pen.stroke(straight(c * 18.5, s * 18.5, c * 23, s * 23), hour % 3 === 0 ? 2.4 : 1.3, {
      swell: 0,
      thin: 0,
    });
  }
  pen.stroke(straight(0, 3, -9, -11), 3, { swell: 0.2, thin: 0.5 });
  pen.stroke(straight(-2, 4, 13, -15), 2, { swell: 0.2, thin: 0.5 });
  pen.ink(ellipse(0, 0, 2.6));
  pen.within(face, () => undefined);
}

function doorway(pen: Pen, scene: Scene, lit: boolean): void {
  const arch = shape(knots('-14,8* -14,-34* 0,-52 14,-34* 14,8*'));
  pen.form(shape(knots('-19,8* -19,-36* 0,-58 19,-36* 19,8*')), scene.stoneShade, 1.4);
  if (lit) pen.form(arch, scene.lamp, 1.2);
  else pen.black(arch, scene.deep);
}
