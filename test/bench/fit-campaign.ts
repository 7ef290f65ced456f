import { parseArgs } from 'node:util';
import type { Bitmap } from '../../pipeline/model/raster.js';
import { measureRegister, type Register } from '../../pipeline/register/measure-register.js';
import {
  drawPage,
  fittingStyles,
  type Laid,
  type PageWish,
  type Style,
  tellingNothing,
} from '../helpers/drawn-pages.js';

/**
 * Draws whole pages of every style, lays their line off by a grid of shifts, rotations and scales, exchanges it for another page's, and
 * counts what was found, what was missed, and false alarms. Ends with 1 where there is any of the latter two.
 *
 *   npm run fit-campaign -- --seeds 3 [--small]
 */
const { values } = parseArgs({
  options: { seeds: { type: 'string', default: '3' }, small: { type: 'boolean', default: false } },
});

const ppi = 300;
const limitPx = (0.1 * ppi) / 25.4;
const size = values.small ? { width: 825, height: 1260 } : { width: 2063, height: 3150 };
/** Pixels of the line at 600 ppi are half of one here. */
const grid: readonly Laid[] = [
  {},
  ...[0.25, 0.5, 1, 2.5, 10].flatMap((px) => [{ dx: px }, { dy: -px }]),
  ...[0.1, 0.3, 0.6].flatMap((degrees) => [{ degrees }, { degrees: -degrees }]),
  ...[0.1, 0.3].flatMap((scalePercent) => [{ scalePercent }, { scalePercent: -scalePercent }]),
];

/** Half the diagonal: how far a corner moves for each radian or each whole of scale. */
const cornerPx = Math.hypot(size.width, size.height) / 2;

/** How far from the middle of the page its line reaches, in pixels of the colour: what turns and grows moves there the most. */
function reachPx({ width, height, rowBytes, bits }: Bitmap): number {
  let most = 0;
  for (let y = 0; y < height; y++) {
    const row = bits.subarray(y * rowBytes, (y + 1) * rowBytes);
    const [first, last] = [row.findIndex((byte) => byte !== 0), row.findLastIndex((byte) => byte !== 0)];
    if (first < 0) continue;
    const far = Math.max(width / 2 - 8 * first, 8 * last - width / 2);
    most = Math.max(most, Math.hypot(far, y - height / 2));
  }
  return (most * size.width) / width;
}

/** How far the farthest of the line lies off. */
function displacedPx({ dx = 0, dy = 0, degrees = 0, scalePercent = 0 }: Laid, farPx: number): number {
  return Math.hypot(dx, dy) + farPx * Math.hypot((degrees * Math.PI) / 180, scalePercent / 100);
}

const counts = { right: 0, missed: 0, falseAlarms: 0, mostErrorPx: 0 };

function told(style: Style, wish: PageWish): Register & { readonly farPx: number } {
  const { colour, line } = drawPage(style, { ...size, ...wish });
  return { ...measureRegister(colour, line, ppi), farPx: reachPx(line) };
}

function count(isRight: boolean, kind: 'missed' | 'falseAlarms', words: string): void {
  if (isRight) counts.right++;
  else {
    counts[kind]++;
    process.stdout.write(`${kind}: ${words}\n`);
  }
}

function tryLaid(style: Style, seed: number, laid: Laid): void {
  const { verdict, displacementPx, movement, farPx } = told(style, { seed, laid });
  const offPx = displacedPx(laid, farPx);
  const isTold = verdict === 'fits' && displacementPx > limitPx;
  const words = `${style} ${seed} ${JSON.stringify(laid)}: ${verdict}, ${displacementPx.toFixed(2)} of ${offPx.toFixed(2)} px`;
  if (offPx > limitPx) count(isTold, 'missed', words);
  // What turns or grows by more at the corners of the page may be told: it is there, though nothing is drawn so far out.
  else count(verdict === 'fits' && (!isTold || displacedPx(laid, cornerPx) > limitPx), 'falseAlarms', words);
  const error = Math.hypot((movement?.dx ?? 0) - (laid.dx ?? 0), (movement?.dy ?? 0) - (laid.dy ?? 0));
  counts.mostErrorPx = Math.max(counts.mostErrorPx, error);
}

/** Pages that are told by more than their panels. */
const exchanged = fittingStyles.filter((style) => style !== 'panels');

for (let seed = 1; seed <= Number(values.seeds); seed++) {
  for (const style of fittingStyles) for (const laid of grid) tryLaid(style, seed, laid);
  for (const style of exchanged) {
    for (const wish of [{}, { grid: 1000 }]) {
      const { verdict } = told(style, { seed, inksOf: seed + 1, ...wish });
      count(
        verdict === 'apart',
        'missed',
        `${style} ${seed}, line of another page ${JSON.stringify(wish)}: ${verdict}`,
      );
    }
  }
  for (const style of tellingNothing) {
    const { verdict } = told(style, { seed });
    count(verdict === 'unknown', 'falseAlarms', `${style} ${seed}: ${verdict}`);
  }
  process.stdout.write(`seed ${seed}: ${JSON.stringify(counts)}\n`);
}
process.exitCode = counts.missed + counts.falseAlarms === 0 ? 0 : 1;
