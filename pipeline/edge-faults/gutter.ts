import { mmToPx } from '../../config/units.js';
import type { MeasuredBox } from '../model/places.js';
import { processPlanes, type Separation } from '../model/separation.js';

/** What the binding takes at the fold of a spread. */
export interface Gutter {
  /** Share of the fold along which art crosses it, percent. */
  readonly crossedPercent: number;
  /** How much more is drawn there than on the page, as a multiple, where it is most; 0 where nothing is. */
  readonly mostTimes: number;
  /** Where more is drawn than the limit, the most first. */
  readonly boxes: readonly MeasuredBox[];
}

/** The gutter is looked at in pieces of this height: what a face takes up. Own choice. */
const pieceMm = 10;
/** Neighbouring pixels that differ by more than this, of 255, all inks together, are drawing; two pixels apart. Own choice. */
const edgeCounts = 80;
/** Every so-manieth row and column is looked at. */
const every = 3;
/** Where less of the page than this is drawing, nothing is told of it, as a share of its pixels. Own choice. */
const leastShare = 0.02;
/** Ink up to this amount of 255 is paper to the eye. Common practice, no published source. */
const paperMost = 5;

/**
 * Measures what lies within the gutter, and how much more is drawn there than on the rest of the page: who places a face there draws
 * more than beside it. Whether it is a face nobody can tell here.
 * @param composite a spread as it prints, its fold in the middle
 * @param lossMm what the binding takes of each page
 * @param leastTimes how much more has to be drawn in a piece, so that it is told
 */
export function measureGutter(
  composite: Separation,
  ppi: number,
  lossMm: number,
  leastTimes: number,
): Gutter {
  const { width, height } = composite;
  const [c, m, y, k] = processPlanes(composite);
  const inkAt = (i: number) => c[i] + m[i] + y[i] + k[i];
  const fold = Math.floor(width / 2);
  const loss = Math.max(2, Math.round(mmToPx(lossMm, ppi)));
  const drawnIn = (left: number, right: number, top: number, bottom: number) => {
    let [drawn, all] = [0, 0];
    for (let row = top; row < bottom - 2; row += every) {
      for (let x = left; x < right - 2; x += every, all++) {
        const i = row * width + x;
        const own = inkAt(i);
        if (Math.abs(own - inkAt(i + 2)) > edgeCounts || Math.abs(own - inkAt(i + 2 * width)) > edgeCounts)
          drawn++;
      }
    }
    return all === 0 ? 0 : drawn / all;
  };
  let crossed = 0;
  for (let row = 0; row < height; row++) {
    const i = row * width + fold;
    if (inkAt(i - loss) > paperMost && inkAt(i - 1) > paperMost && inkAt(i + loss) > paperMost) crossed++;
  }
  const page = Math.max(leastShare, drawnIn(0, width, 0, height));
  const piece = Math.max(4, Math.round(mmToPx(pieceMm, ppi)));
  const pieces: { box: MeasuredBox; times: number }[] = [];
  for (let top = 0; top < height; top += piece) {
    const bottom = Math.min(height, top + piece);
    const times = drawnIn(fold - loss, fold + loss, top, bottom) / page;
    pieces.push({ box: { left: fold - loss, top, width: 2 * loss, height: bottom - top }, times });
  }
  pieces.sort((one, other) => other.times - one.times || one.box.top - other.box.top);
  const told = pieces.filter(({ times }) => times > leastTimes);
  return {
    crossedPercent: (crossed * 100) / height,
    mostTimes: pieces[0]?.times ?? 0,
    boxes: told.map(({ box, times }) => ({ ...box, measured: `${times.toFixed(1)} times the page` })),
  };
}
