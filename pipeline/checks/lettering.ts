import { limitSource } from '../../config/check-limits/index.js';
import { counted, figureBeside, formatLength } from '../../config/figures.js';
import { type PrintSpec, trimBoxPx } from '../../config/print-spec.js';
import { type LengthUnit, mmToPx } from '../../config/units.js';
import { findLetters, type Letter } from '../edge-faults/letters.js';
import { letteredPage } from '../edge-faults/luminance.js';
import type { Separator } from '../inks/separator.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Noticed } from '../model/findings.js';
import { PlaceGrid } from '../model/place-grid.js';
import { type MeasuredBox, placesOf } from '../model/places.js';
import type { Plate } from '../model/raster.js';
import type { Separation } from '../model/separation.js';

/** What of the print spec lettering is held against. */
type LetteringSpec = Pick<PrintSpec, 'checks' | 'trim' | 'safeMm' | 'colourPpi'>;

/** A page with lettering that came apart from its art. */
export interface LetteredInks {
  /** The page as it prints. */
  readonly composite: Separation;
  /** 255 where lettering shows, for every second pixel of the page; undefined where none came apart, and nothing can be told. */
  readonly lettering: Plate | undefined;
  readonly isSpread: boolean;
}

/** Side of the squares in which letters stand together: a word in small lettering. Own choice. */
const squareMm = 8;
/** So many letters of a place have to be hard to read, and this share of those there. Own choice. */
const leastLetters = 4;
const leastShare = 0.6;
/** A letter is cut where the trim goes through it by more than its soft edge, in pixels. */
const softPx = 2;

/** Looks at lettering: whether it can be read, and whether the cut or the binding takes any of it. */
export function noticeLetters(
  { composite, lettering, isSpread }: LetteredInks,
  spec: LetteringSpec,
  units: LengthUnit,
  separator: Pick<Separator, 'softProof'>,
  arena: PageArena,
): Noticed[] {
  const { letteringContrastTimes, edgeLetters } = spec.checks;
  if (lettering === undefined || (letteringContrastTimes === 0 && edgeLetters === 0)) return [];
  const page = letteredPage(composite, lettering, separator, arena);
  const letters = findLetters(page, lettering, spec.colourPpi);
  return [
    ...(letteringContrastTimes === 0 ? [] : noticeContrast(letters, composite, spec)),
    ...(edgeLetters === 0 ? [] : noticeMargins(letters, composite, spec, isSpread, units)),
  ];
}

function placesOn(boxes: readonly MeasuredBox[], size: Separation, spec: LetteringSpec) {
  const places = placesOf(boxes, { size, spec, ppi: spec.colourPpi });
  return places === undefined ? {} : { places };
}

/** Says where lettering hardly stands out from what is right around it. */
function noticeContrast(letters: readonly Letter[], page: Separation, spec: LetteringSpec): Noticed[] {
  const limit = spec.checks.letteringContrastTimes;
  const grid = new PlaceGrid(page, mmToPx(squareMm, spec.colourPpi));
  const low = letters.filter(({ contrast }) => contrast < limit);
  // The worst of a box is its least contrast, so that it counts from below.
  for (const one of low) grid.add(one.left, one.top, 1, -one.contrast, one.width, one.height);
  const boxes = grid
    .boxes(1, (most) => `contrast ${(-most).toFixed(1)}:1`)
    .filter((box) => {
      const own = low.filter((one) => isWithin(one, box)).length;
      return own >= leastLetters && own >= leastShare * letters.filter((one) => isWithin(one, box)).length;
    });
  const hard = low.filter((one) => boxes.some((box) => isWithin(one, box)));
  const least = hard.reduce((most, { contrast }) => Math.min(most, contrast), limit);
  if (boxes.length === 0) return [];
  return [
    {
      code: 'lettering-contrast',
      severity: 'note',
      message: 'Lettering hardly stands out from what is right around it, as it prints',
      measured: `contrast down to ${figureBeside(least, limit, 1)}:1`,
      limit: `at least ${limit}:1`,
      source: limitSource(spec.checks, 'letteringContrastTimes'),
      remedy: 'Look whether it can be read; make the lettering lighter or darker, or give it a ground.',
      ...placesOn(boxes, page, spec),
    },
  ];
}

function isWithin({ left, top }: Letter, box: MeasuredBox): boolean {
  return left >= box.left && top >= box.top && left < box.left + box.width && top < box.top + box.height;
}

interface Margin {
  readonly code: string;
  readonly message: string;
  readonly limit: string;
  readonly source: string;
  readonly remedy: string;
  readonly isIn: (letter: Letter) => boolean;
}

/** Says where the cut or the binding comes close to lettering. */
function noticeMargins(
  letters: readonly Letter[],
  page: Separation,
  spec: LetteringSpec,
  isSpread: boolean,
  units: LengthUnit,
): Noticed[] {
  const side = mmToPx(squareMm, spec.colourPpi);
  const least = spec.checks.edgeLetters;
  return marginsOf(page, spec, isSpread, units).flatMap(({ isIn, source, ...told }): Noticed[] => {
    const grid = new PlaceGrid(page, side);
    for (const one of letters) if (isIn(one)) grid.add(one.left, one.top, 1, 1, one.width, one.height);
    const boxes = grid.boxes(1, (_, count) => counted(count, 'letter'));
    const groups = boxes.filter(({ measured }) => Number.parseInt(measured ?? '', 10) >= least);
    if (groups.length === 0) return [];
    const count = groups.reduce((sum, { measured }) => sum + Number.parseInt(measured ?? '', 10), 0);
    return [
      {
        ...told,
        severity: 'warn',
        measured: `some ${counted(count, 'letter')} in ${counted(groups.length, 'place')}`,
        source: `${source}; ${limitSource(spec.checks, 'edgeLetters')}`,
        ...placesOn(groups, page, spec),
      },
    ];
  });
}

function marginsOf(page: Separation, spec: LetteringSpec, isSpread: boolean, units: LengthUnit): Margin[] {
  const { colourPpi, safeMm, checks } = spec;
  const trim = trimBoxPx(page, spec, colourPpi);
  const within = ({ left, top, width, height }: Letter, insetPx: number) =>
    left >= trim.left + insetPx &&
    top >= trim.top + insetPx &&
    left + width <= trim.left + trim.width - insetPx &&
    top + height <= trim.top + trim.height - insetPx;
  const isOutside = ({ left, top, width, height }: Letter) =>
    left + width < trim.left + softPx ||
    top + height < trim.top + softPx ||
    left > trim.left + trim.width - softPx ||
    top > trim.top + trim.height - softPx;
  const isCut = (letter: Letter) => !within(letter, -softPx) && !isOutside(letter);
  const safePx = mmToPx(safeMm, colourPpi) - softPx;
  const safe = { limit: `${formatLength(safeMm, units)} inside the trim`, source: 'print spec: safe' };
  const margins: Margin[] = [
    {
      code: 'lettering-cut',
      message: 'The trim goes through lettering',
      ...safe,
      remedy: 'Move the lettering inside the safe margin, or accept this for the page if it is to run off.',
      isIn: isCut,
    },
    {
      code: 'lettering-near-trim',
      message: 'Lettering lies between the trim and the safe margin, where the cut may take it',
      ...safe,
      remedy: 'Move the lettering inside the safe margin, or accept this for the page if the printer agrees.',
      isIn: (letter) => !within(letter, safePx) && !isCut(letter) && !isOutside(letter),
    },
  ];
  const { gutterLossMm } = checks;
  if (!isSpread || gutterLossMm === 0) return margins;
  const [fold, loss] = [trim.left + trim.width / 2, mmToPx(gutterLossMm, colourPpi)];
  const gutter: Margin = {
    code: 'lettering-in-gutter',
    message: 'Lettering lies at the fold, where the binding takes it',
    limit: `${formatLength(gutterLossMm, units)} from the fold`,
    source: limitSource(checks, 'gutterLossMm'),
    remedy: 'Move the lettering off the fold.',
    isIn: ({ left, width }) => left + width > fold - loss && left < fold + loss,
  };
  return [...margins, gutter];
}
