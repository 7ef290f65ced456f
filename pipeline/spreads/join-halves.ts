import { bleedBox, type PageBox } from '../../config/print-spec.js';
import { type LengthUnit, mmToPx, pxToMm } from '../../config/units.js';
import type { Noticed } from '../model/findings.js';
import type { FlatPicture, WorkingPicture } from '../model/working-page.js';
import { planFit } from '../sizes/plan-fit.js';
import { wrongShape } from '../sizes/size-findings.js';
import { type FoldMatch, matchFold } from './fold-match.js';
import { differ, type HalvedPart, noticeKinds } from './half-kinds.js';
import { type Fold, foldOf, type HalfLayout, haveOnePpi, layoutOf, singlePage } from './half-layout.js';
import { joinLayers } from './join-layers.js';
import { joinRasters, type Moved } from './join-rasters.js';
import { type JoinedPart, noticeJoined } from './joined-findings.js';

/** The two halves of one part of a spread. */
export interface HalfPair {
  /** Names of their files, for findings. */
  readonly files: readonly [string, string];
  readonly left: WorkingPicture;
  readonly right: WorkingPicture;
}

/** The parts of a spread that came in halves. Not read-only: joining takes them out, so that each lives no longer than needed. */
export type HalvedParts = Partial<Record<HalvedPart, HalfPair | undefined>>;

/** The parts joined, and what was noticed. */
export interface JoinedParts {
  /** Pictures of the whole spread; undefined where halves cannot be joined, for which what was noticed gives the reason. */
  readonly parts: Partial<Record<HalvedPart, WorkingPicture>> | undefined;
  readonly noticed: readonly Noticed[];
}

/** One part before its halves are joined. */
interface Prepared {
  readonly part: HalvedPart;
  readonly fold: Fold;
  readonly layouts: readonly [HalfLayout, HalfLayout];
  /** undefined for layers, of which nothing is decoded yet. */
  readonly match: FoldMatch | undefined;
}

/** Line tells best where halves meet; what cannot tell itself goes with it. */
const inOrder: readonly HalvedPart[] = ['line', 'colour', 'lettering'];

/**
 * Joins the halves of a spread at the fold, part by part: bleed at the fold is cut away, and a right half that was found to lie
 * beside its place is moved there by whole pixels. Layers are laid by their size alone.
 * @param halves used up
 */
export function joinHalves(halves: HalvedParts, spec: PageBox, units: LengthUnit): JoinedParts {
  const noticed: Noticed[] = [];
  const prepared = inOrder.flatMap((part) => {
    const pair = halves[part];
    return pair === undefined ? [] : (prepare(part, pair, spec, units, noticed) ?? []);
  });
  if (noticed.some(({ severity }) => severity === 'stop')) return { parts: undefined, noticed };
  const parts: Partial<Record<HalvedPart, WorkingPicture>> = {};
  const joinedParts: JoinedPart[] = [];
  for (const one of prepared) {
    const pair = halves[one.part];
    halves[one.part] = undefined;
    if (pair === undefined) continue;
    const { moved, match } = movementOf(one, prepared);
    parts[one.part] = joined(pair, one.fold, moved);
    joinedParts.push({ ...one, match, moved });
  }
  noticed.push(...noticeJoined(joinedParts, units));
  return { parts, noticed };
}

/** Where the fold lies in both halves of a part; undefined where that cannot be told, which is noticed. */
function prepare(
  part: HalvedPart,
  { files, left, right }: HalfPair,
  spec: PageBox,
  units: LengthUnit,
  noticed: Noticed[],
): Prepared | undefined {
  noticed.push(...noticeKinds(part, left, right));
  const layouts = [left, right].map((half) => layoutOf(half, spec));
  const [one, other] = layouts;
  if (one === undefined || other === undefined) {
    for (const [i, half] of [left, right].entries()) {
      if (layouts[i] === undefined) noticed.push({ ...unfit(half, spec, units), file: files[i] });
    }
    return undefined;
  }
  if (!haveOnePpi(one, other)) {
    const [first, second] = [one, other].map(({ ppi }) => `${Math.round(ppi)} ppi`);
    noticed.push(differ(`The resolutions of the halves of the ${part}`, `left ${first}, right ${second}`));
    return undefined;
  }
  if (noticed.some(({ severity }) => severity === 'stop')) return undefined;
  const fold = foldOf(left, right, spec, one.ppi);
  const flat = left.kind === 'flat' && right.kind === 'flat';
  const match = flat ? matchFold({ left: left.raster, right: right.raster, fold }) : undefined;
  return { part, fold, layouts: [one, other], match };
}

/** A half whose size is that of no single page is told as a page of such a size would be. */
function unfit(half: WorkingPicture, spec: PageBox, units: LengthUnit): Noticed {
  const page = singlePage(spec);
  const found = planFit(half, page, units).noticed.find(({ severity }) => severity === 'stop');
  return found ?? wrongShape(half, bleedBox(page), false, units);
}

/** What moves the right half of a part: its own measure, or that of a part which could be measured. */
function movementOf(
  { fold, match }: Prepared,
  all: readonly Prepared[],
): { moved: Moved; match: FoldMatch | undefined } {
  const own = match !== undefined && match.by !== 'nothing';
  if (own) return { moved: match, match };
  const told = all.find((other) => other.match !== undefined && other.match.by !== 'nothing');
  if (told?.match === undefined) return { moved: { dxPx: 0, dyPx: 0 }, match };
  const here = (px: number) => Math.round(mmToPx(pxToMm(px, told.fold.ppi), fold.ppi));
  return { moved: { dxPx: here(told.match.dxPx), dyPx: here(told.match.dyPx) }, match };
}

function joined({ left, right }: HalfPair, fold: Fold, moved: Moved): WorkingPicture {
  if (left.kind !== 'flat' || right.kind !== 'flat') {
    const { rightX, rightY } = fold;
    return joinLayers(left, right, { ...fold, rightX: rightX - moved.dxPx, rightY: rightY - moved.dyPx });
  }
  const raster = joinRasters(left.raster, right.raster, fold, moved);
  const { width, height } = raster;
  const picture: FlatPicture = {
    ...left,
    ...{ width, height, raster },
    bitsPerSample: Math.max(left.bitsPerSample, right.bitsPerSample),
    profile: left.profile ?? right.profile,
    noticed: [...left.noticed, ...right.noticed],
  };
  return picture;
}
