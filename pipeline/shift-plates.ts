import type { Press } from '../config/press.js';
import type { PrintSpec } from '../config/print-spec.js';
import { mmToPx, pxToMm } from '../config/units.js';
import type { Separator } from './inks/separator.js';
import type { PageArena } from './kernels/page-arena.js';
import { sumOf } from './kernels/samples.js';
import type { PlateShift, ShiftedPlace } from './model/page-result.js';
import { processInkNames, processPlanes, type Separation } from './model/separation.js';
import { edgePairs } from './plate-shift/edge-pairs.js';
import { movesBy } from './plate-shift/moves.js';
import { shiftedEdges } from './plate-shift/shifted-edges.js';
import type { ShownSquare } from './plate-shift/shown-edges.js';

/** Side of the squares in which places are named: what a finger covers. Own choice. */
const placeMm = 8;
const mostPlaces = 10;

/**
 * Simulates a press out of register: each plate moved in eight directions, the line with black, while the others stay.
 * @param composite the page as it prints, at the colour ppi
 * @param press whose figure is taken where the job has none
 * @returns undefined where the job leaves the simulation out
 */
export function shiftPlates(
  composite: Separation,
  spec: Pick<PrintSpec, 'plateShiftMm' | 'colourPpi' | 'bleedMm'>,
  press: Pick<Press, 'plateShiftMm'>,
  separator: Pick<Separator, 'labOf'>,
  arena: PageArena,
): PlateShift | undefined {
  const shiftMm = spec.plateShiftMm ?? press.plateShiftMm;
  if (shiftMm === 0) return undefined;
  const nothing = { shiftMm, openMm: 0, fringeMm: 0, places: [] };
  const inked = processPlanes(composite).filter((plane) => sumOf(plane, arena) > 0);
  if (inked.length < 2) return nothing;
  const moves = movesBy(mmToPx(shiftMm, spec.colourPpi));
  const pairs = edgePairs(composite, moves, arena);
  const squares = shiftedEdges(composite, pairs, moves, separator.labOf).squares();
  const lengthOf = (px: (square: ShownSquare) => number) =>
    rounded(pxToMm(squares.reduce((sum, square) => sum + px(square), 0) * pairs.every, spec.colourPpi));
  return {
    shiftMm,
    openMm: lengthOf(({ openPx }) => openPx),
    fringeMm: lengthOf(({ fringePx }) => fringePx),
    places: placesOf(squares, composite.width, pairs.every, spec),
  };
}

function placesOf(
  squares: readonly ShownSquare[],
  width: number,
  every: number,
  { colourPpi, bleedMm }: Pick<PrintSpec, 'colourPpi' | 'bleedMm'>,
): ShiftedPlace[] {
  const placePx = mmToPx(placeMm, colourPpi);
  const places = new Map<string, { worst: ShownSquare; px: number }>();
  for (const square of squares) {
    const { pixel, kind, amount } = square.worst;
    const [x, y] = [pixel % width, Math.floor(pixel / width)];
    const name = [kind, Math.floor(x / placePx), Math.floor(y / placePx)].join(' ');
    const place = places.get(name) ?? { worst: square, px: 0 };
    place.px += (kind === 'open' ? square.openPx : square.fringePx) * every;
    if (amount > place.worst.worst.amount) place.worst = square;
    places.set(name, place);
  }
  const longest = [...places.values()].sort(
    (a, b) => b.px - a.px || a.worst.worst.pixel - b.worst.worst.pixel,
  );
  return longest.slice(0, mostPlaces).map(({ worst: { worst }, px }) => {
    const mm = (at: number) => rounded(pxToMm(at, colourPpi) - bleedMm);
    return {
      xMm: mm(worst.pixel % width),
      yMm: mm(Math.floor(worst.pixel / width)),
      kind: worst.kind,
      lengthMm: rounded(pxToMm(px, colourPpi)),
      plate: processInkNames[worst.plate],
      rightMm: Number(pxToMm(worst.right, colourPpi).toFixed(3)),
      downMm: Number(pxToMm(worst.down, colourPpi).toFixed(3)),
    };
  });
}

/** A tenth of a millimetre is more than is asked. */
function rounded(mm: number): number {
  return Number(mm.toFixed(1));
}
