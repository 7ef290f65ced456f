import { ellipse, knots, limb, type Pt, shape } from '../ink/geometry.js';
import { Pen } from '../ink/pen.js';
import type { Sheet } from '../ink/sheet.js';
import { coat, collar, scarfTail } from './odda-coat.js';
import type { Mood } from './odda-face.js';
import { drawOddaBack, drawOddaHead, drawOddaProfile } from './odda-head.js';
import type { Pose } from './odda-poses.js';
import type { Cast } from './palette.js';

export interface FigurePlace {
  readonly x: number;
  readonly y: number;
  readonly height: number;
  readonly flip?: boolean;
  readonly turn?: number;
  readonly cast: Cast;
  readonly mood?: Mood;
}

/** Odda in her oilskin: a bell of a coat on thin legs, so that she reads at any size. Returns where her near hand is. */
export function drawOdda(sheet: Sheet, place: FigurePlace, pose: Pose): Pt {
  const weight = Math.min(1.5, Math.max(0.4, place.height / 190));
  const scale = place.height / 100;
  const pen = new Pen(sheet, { ...place, scale }, weight);
  const { cast } = place;
  arm(pen, cast, pose, pose.farArm, 5, true);
  leg(pen, cast, pose.hip, pose.farLeg, true);
  leg(pen, cast, pose.hip, pose.nearLeg, false);
  const back = pose.head === 'back';
  if (!back) scarfTail(pen, cast, pose);
  coat(pen, cast, pose);
  if (back) scarfTail(pen, cast, pose);
  collar(pen, cast, pose);
  head(pen, place, pose);
  arm(pen, cast, pose, pose.nearArm, -5, false);
  return pen.at(ellipse(pose.nearArm[1][0], pose.nearArm[1][1], 0.01)).points[0];
}

function head(pen: Pen, place: FigurePlace, pose: Pose): void {
  const middle = pen.at(ellipse(pose.neck[0] + 1.5, pose.neck[1] - 13, 0.01)).points[0];
  const at = {
    x: middle[0],
    y: middle[1],
    size: place.height * 0.125,
    turn: (place.turn ?? 0) + (pose.nod ?? 0) * (place.flip ? -1 : 1),
    flip: place.flip ?? false,
    mood: place.mood ?? 'calm',
    cast: place.cast,
  } as const;
  if (pose.head === 'back') drawOddaBack(pen.sheet, at);
  else if (pose.head === 'profile') drawOddaProfile(pen.sheet, at);
  else drawOddaHead(pen.sheet, at);
}

function arm(
  pen: Pen,
  cast: Cast,
  { neck, hip }: Pose,
  [elbow, hand]: readonly [Pt, Pt],
  side: number,
  far: boolean,
): void {
  const lean = (hip[0] - neck[0]) * 0.15;
  const shoulder: Pt = [neck[0] + lean + (far ? 4 : -3) + side * 0.4, neck[1] + 6];
  const dx = hand[0] - elbow[0];
  const dy = hand[1] - elbow[1];
  const reach = Math.hypot(dx, dy) || 1;
  const fist: Pt = [hand[0] + (dx / reach) * 2.4, hand[1] + (dy / reach) * 2.4];
  pen.form(ellipse(fist[0], fist[1], 3.6, 3.1), cast.skin, 1.3);
  const sleeve = pen.form(limb([shoulder, elbow, hand], [9, 8.6, 8]), far ? cast.coatShade : cast.coat, 1.7);
  if (!far)
    pen.within(sleeve, () => {
      pen.tint(
        limb(
          [
            [shoulder[0] - 3, shoulder[1] + 3],
            [elbow[0] - 1, elbow[1] + 4],
            [hand[0], hand[1] + 4],
          ],
          [5, 5, 3],
        ),
        cast.coatShade,
      );
      pen.stroke(
        [
          [elbow[0] - 2, elbow[1] - 2],
          [elbow[0] + 2, elbow[1] + 1],
        ],
        1.1,
      );
    });
}

function leg(pen: Pen, cast: Cast, hip: Pt, [knee, heel]: readonly [Pt, Pt], far: boolean): void {
  const root: Pt = [hip[0] + (far ? 4 : -4), hip[1]];
  pen.form(limb([root, knee, [heel[0], heel[1] - 6]], [8, 6.6, 5.6]), cast.leggings, 1.3);
  const angle = Math.atan2(heel[0] - knee[0], heel[1] - knee[1]);
  const boot = pen.on({ x: heel[0], y: heel[1], turn: (-angle * 180) / Math.PI });
  const placed = boot.solid(knots('-4.6,-13* 4,-13* 4.4,-6 10,-4.4 11,0* -4.6,0* -5,-6'), cast.boots, 1.5);
  boot.within(placed, () => boot.ink(shape(knots('-6,-14* -2,-14* -1.6,-5 4,-2.4 12,-1.4* 12,1* -6,1*'))));
}
