import { counted } from '../../config/figures.js';
import type { PrintSpec } from '../../config/print-spec.js';
import { mmToPx, pxToMm, type SizePx } from '../../config/units.js';
import type { InkLooks } from '../inks/ink-looks.js';
import type { Place } from '../model/findings.js';
import { placesOf } from '../model/places.js';
import { changedAreas } from './changed-areas.js';
import { ChangedCells, type Counted } from './changed-cells.js';
import { type ColourChange, compareColours, type LineMarks, visibleDe } from './compare-colour.js';
import { type ChangeMarks, compareLines, comparePlates, type PlateChange } from './compare-plates.js';
import type { LineFile } from './line-file.js';
import { nearMarks } from './near-marks.js';
import type { PressFile } from './press-file.js';

/** What a page's press files are, before or now: one picture of it, whole or half of a spread. */
export interface PictureState {
  readonly composite: PressFile;
  /** undefined for a page without line. */
  readonly line: LineFile | undefined;
  /** Plates of extra inks, by the id of the ink. */
  readonly extras: ReadonlyMap<string, PressFile | LineFile>;
}

/** A changed area of a page. */
export interface ChangedPlace extends Place {
  readonly measured: string;
  /** `plate` is the plate of line or of an extra ink; `both` is that and colour. */
  readonly of: 'colour' | 'plate' | 'both';
}

/** How two states of one picture differ, as plain data. */
export interface PictureComparison {
  /** `size`: they cannot be laid on each other. */
  readonly verdict: 'unchanged' | 'changed' | 'size';
  /** Pixels of the composite, before and now. */
  readonly sizes: readonly [before: SizePx, now: SizePx];
  /** undefined where no colour changed. */
  readonly colour: ColourChange | undefined;
  /** undefined where the line did not change. */
  readonly line: PlateChange | undefined;
  /** Extra inks whose plates changed. */
  readonly inks: readonly ({ readonly ink: string } & PlateChange)[];
  /** Where, the gravest first; at most `mostPlaces` of `placesInAll`. */
  readonly places: readonly ChangedPlace[];
  readonly placesInAll: number;
}

/** Beside a changed pixel of line, so many of the composite follow it: they are made softer than the line is. Own choice. */
const besidePx = 2;
/** Colour that changed by this, and by so many times what nearly all of the page did, is a place of its own. Own choice. */
const strongDe = 10;
const strongAgainst = 4;
/** Support ink stays so near to the edge of its black, in millimetres. Own choice: above the choke of any job so far. */
const supportMm = 0.5;

/**
 * Two states of one picture of a page, which the files tell: equal or changed, colour apart from line, and where.
 * @param of.spec places count from its trim
 * @param of.ppi pixels per inch of the composite
 * @throws PlatehandError `picture-unreadable`
 */
export async function comparePictures(
  before: PictureState,
  now: PictureState,
  { spec, ppi, looks }: { spec: Pick<PrintSpec, 'trim'>; ppi: number; looks: InkLooks },
): Promise<PictureComparison> {
  const sizes = [sizeOf(before.composite), sizeOf(now.composite)] as const;
  if (!areLaidOnEachOther(before, now)) return { ...unchanged(sizes), verdict: 'size' };
  const page = sizes[1];
  const cells = new ChangedCells(page, ppi);
  const marks = new Uint8Array(page.width * page.height);
  const line = changeOr(await compareLines(before.line, now.line, { cells, page, marks }));
  const inks = await compareExtras(before, now, { cells, page, marks: undefined });
  const lineMarks = line === undefined ? undefined : lineMarksOf(marks, page, ppi);
  const found = await compareColours(before.composite, now.composite, { cells, line: lineMarks, looks });
  const colour = found.changedPercent === 0 ? undefined : found;
  if (colour === undefined && line === undefined && inks.length === 0) return unchanged(sizes);
  // What nobody sees is shown where there is nothing else.
  const isSeen = line !== undefined || inks.length > 0 || found.visiblePercent > 0;
  const areas = changedAreas(cells, isSeen ? visibleDe : 0, Math.max(strongDe, strongAgainst * found.p95De));
  const plate = plateWords(line !== undefined, inks.length > 0);
  const boxes = areas.map(({ left, top, right, bottom }) => {
    return { left, top, width: right - left, height: bottom - top };
  });
  const places = (placesOf(boxes, { size: page, spec, ppi })?.shown ?? []).map((place, at) => {
    return { ...place, of: kindOf(areas[at]), measured: measuredOf(areas[at], plate, ppi) };
  });
  return { verdict: 'changed', sizes, colour, line, inks, places, placesInAll: areas.length };
}

function unchanged(sizes: PictureComparison['sizes']): PictureComparison {
  const nothing = { colour: undefined, line: undefined, inks: [], places: [], placesInAll: 0 };
  return { verdict: 'unchanged', sizes, ...nothing };
}

function sizeOf({ width, height }: SizePx): SizePx {
  return { width, height };
}

/** Whether every file of the one is as large as that of the other, and of the same kind, as far as both have it. */
function areLaidOnEachOther(before: PictureState, now: PictureState): boolean {
  const filesOf = ({ composite, line, extras }: PictureState) =>
    new Map<string, PressFile | LineFile | undefined>([
      ...extras,
      ['.composite', composite],
      ['.line', line],
    ]);
  const theirs = filesOf(before);
  return [...filesOf(now)].every(([name, file]) => {
    const other = theirs.get(name);
    return file === undefined || other === undefined || formOf(file) === formOf(other);
  });
}

function formOf(file: PressFile | LineFile): string {
  return `${file.width} x ${file.height} x ${'samples' in file ? file.samples : 'bit'}`;
}

async function compareExtras(
  before: PictureState,
  now: PictureState,
  into: ChangeMarks,
): Promise<({ ink: string } & PlateChange)[]> {
  const found: ({ ink: string } & PlateChange)[] = [];
  for (const ink of new Set([...before.extras.keys(), ...now.extras.keys()])) {
    const [one, other] = [before.extras.get(ink), now.extras.get(ink)];
    const isLine = [one, other].some((file) => file !== undefined && 'rows' in file);
    const change = isLine
      ? await compareLines(asLine(one), asLine(other), into)
      : await comparePlates(asPlate(one), asPlate(other), into);
    const told = changeOr(change);
    if (told !== undefined) found.push({ ink, ...told });
  }
  return found;
}

function asLine(file: PressFile | LineFile | undefined): LineFile | undefined {
  return file !== undefined && 'rows' in file ? file : undefined;
}

function asPlate(file: PressFile | LineFile | undefined): PressFile | undefined {
  return file !== undefined && 'inks' in file ? file : undefined;
}

function changeOr(change: PlateChange): PlateChange | undefined {
  return change.gainedPercent + change.lostPercent === 0 ? undefined : change;
}

function lineMarksOf(marks: Uint8Array, page: SizePx, ppi: number): LineMarks {
  return {
    beside: nearMarks(marks, page, besidePx),
    around: nearMarks(marks, page, Math.max(besidePx, Math.ceil(mmToPx(supportMm, ppi)))),
  };
}

function kindOf({ colourPx, gainedPx, lostPx }: Counted): ChangedPlace['of'] {
  if (gainedPx + lostPx === 0) return 'colour';
  return colourPx === 0 ? 'plate' : 'both';
}

function plateWords(hasLine: boolean, hasInks: boolean): string {
  if (!hasInks) return 'line';
  return hasLine ? 'line or extra ink' : 'extra ink';
}

/** Such as `colour: 20 pixels, dE00 mean 4.1, most 12.0; line: 0.31 mm2 more, 0.02 mm2 less`. */
function measuredOf(
  { colourPx, sumDe, mostDe, gainedPx, lostPx }: Counted,
  plate: string,
  ppi: number,
): string {
  const mm2 = (pixels: number, word: string) => {
    return pixels === 0 ? [] : [`${Number((pixels * pxToMm(1, ppi) ** 2).toPrecision(2))} mm2 ${word}`];
  };
  const area = [...mm2(gainedPx, 'more'), ...mm2(lostPx, 'less')];
  const ofPlate = area.length === 0 ? [] : [`${plate}: ${area.join(', ')}`];
  if (colourPx === 0) return ofPlate.join('');
  const mean = `dE00 mean ${(sumDe / colourPx).toFixed(1)}, most ${mostDe.toFixed(1)}`;
  return [`colour: ${counted(colourPx, 'pixel')}, ${mean}`, ...ofPlate].join('; ');
}
