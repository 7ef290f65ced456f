import type { Part } from '../../config/job.js';
import type { LineSettings } from '../../config/print-spec.js';
import type { HalvedPart } from '../kernels/halved-rows.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Noticed } from '../model/findings.js';
import type { Plate, Raster } from '../model/raster.js';
import type { LayeredPicture } from '../model/working-page.js';
import { blackTolerance } from './black.js';
import { full16 } from './blend.js';
import { type Canvas, emptyCanvas, type LineRule, mergeRow } from './canvas.js';
import { PageSplit, type SplitPage } from './holds.js';
import type { LayingLayer, LayRules } from './lay-layer.js';
import { isLine, type LayStep, planSteps } from './lay-steps.js';
import { LetteringMarks } from './lettering-marks.js';
import { OpenedLayers } from './opened-layers.js';
import { placesApart, placesHalved, placesOfLine, placesOver } from './page-place.js';
import { StackNotes } from './stack-notes.js';
import { TilePool } from './tile-pool.js';
import { type TileGrid, tileGrid } from './tiles.js';

/** A layered page as one picture, its black line apart. */
export interface FlattenedPage {
  /** rgb without alpha, 16 bit if any layer is, else 8: what prints in colour; under line that stays, the colour beneath. */
  readonly colour: Raster;
  /** Whether colour and painted were brought to half the size that was asked for: layers of 8 bit with line, row by row. */
  readonly isHalved: boolean;
  /** The page as it looks, line included, like `colour`; undefined without line. */
  readonly painted: Raster | undefined;
  /** How bright whatever lies above the line makes it, width x height x 1, 0 to 255; undefined where nothing does. */
  readonly light: Plate | undefined;
  /** Amount of black line, width x height x 1, 0 to 255, not yet thresholded; undefined without a line or lettering layer. */
  readonly line: Plate | undefined;
  /** Share of the line's area, before anything was held back, that prints in colour; percent. */
  readonly heldPercent: number;
  /** Share of the same area that is hidden under paint, as under a balloon, and prints nowhere; percent. */
  readonly coveredPercent: number;
  /** 255 where layers of lettering show, for every second pixel across and down; undefined without any. */
  readonly lettering: Plate | undefined;
  readonly noticed: readonly Noticed[];
}

export interface FlattenOptions {
  /** The part that a layer's name speaks of, if it does. */
  readonly partOf: (layerName: string) => Part | undefined;
  /** How black line is told from everything else. */
  readonly line: LineSettings;
  /** What is wanted of the page, at half its size; undefined takes it as it is. Line and light stay as they are. */
  readonly half?: HalvedPart | undefined;
}

/**
 * Flattens a layered page onto white paper and keeps its black line apart, at the page's own resolution; its colour is halved on the
 * way where that is what prints. Each layer is decoded once: all of them side by side, row by row, where they can be decoded so, else
 * one at a time. Blending follows W3C Compositing and Blending Level 1; the stack's rules, isolation among them, follow the OpenRaster
 * specification.
 *
 * @param picture the page and its layers; the first child of a group is its topmost
 * @param arena works in a scope of its own, which only the page's pictures outlive, as far as they fit
 * @throws PlatehandError picture-unsupported for a layer of CMYK pixels, and whatever decoding a layer throws
 */
export function flatten(
  picture: LayeredPicture,
  options: FlattenOptions,
  arena: PageArena,
): Promise<FlattenedPage> {
  return arena.scope(() => flattenInScope(picture, options, arena));
}

async function flattenInScope(
  picture: LayeredPicture,
  { partOf, line, half }: FlattenOptions,
  arena: PageArena,
): Promise<FlattenedPage> {
  const rule: LineRule = {
    tolerance: blackTolerance(line),
    threshold: (line.thresholdPercent / 100) * full16,
  };
  const notes = new StackNotes();
  const rules = { rule, lettering: new LetteringMarks(picture) };
  const steps = planSteps(picture.root, partOf, notes);
  const opened = new OpenedLayers();
  try {
    const frame = { grid: tileGrid(picture.width, picture.height), steps, rules, notes, half, arena };
    const areAll = await opened.openAll(steps);
    const split = await (areAll ? rowByRow(frame, opened) : layerByLayer(frame, opened));
    return { ...split, lettering: rules.lettering.plate(), noticed: notes.noticed(split.coveredPercent) };
  } finally {
    opened.close();
  }
}

/** What both orders of laying a page need. */
interface Frame {
  readonly grid: TileGrid;
  readonly steps: readonly LayStep[];
  readonly rules: LayRules;
  readonly notes: StackNotes;
  readonly half: HalvedPart | undefined;
  readonly arena: PageArena;
}

/** Rows of tiles after which memory of what was inflated is given back: some ten megabytes of six layers. Own choice. */
const rowsKept = 3;

/** All layers side by side: a row of tiles is laid, split and given up before the next, so that it stays in the processor's cache. */
async function rowByRow(
  { grid, steps, rules, notes, half, arena }: Frame,
  opened: OpenedLayers,
): Promise<SplitPage & Pick<FlattenedPage, 'isHalved'>> {
  const hasLine = steps.some(isLine);
  const isDeep = opened.hasSixteenBit();
  // From a page without line, black may be lifted, which asks for all of it.
  const isHalved = half !== undefined && hasLine && !isDeep;
  // First what is free first, beside the file that is.
  const linePlaces = hasLine ? placesOfLine(grid, arena) : undefined;
  const places = isHalved
    ? placesHalved(grid, half, arena)
    : placesApart(grid, isDeep ? 16 : 8, hasLine, arena);
  const pool = new TilePool(grid, arena);
  const canvases = canvasesOf(steps, grid, pool);
  const laying = steps.map((step) => opened.begun(step, canvases, rules));
  const split = new PageSplit(canvases[0], rules.rule, { hasLine, places, linePlaces, givesBack: true });
  for (let row = 0; row < grid.rows; row++) {
    for (const [at, step] of steps.entries()) await layStep(step, laying[at], canvases, rules, row);
    split.rowLaid(row);
    // What was inflated for these rows is used again for the next.
    if (row % rowsKept === 0) await arena.reclaim.decoded();
  }
  for (const [at, step] of steps.entries()) await endStep(step, laying[at], notes);
  if (!isHalved) await arena.reclaim.pictures(grid.width * grid.height * 3);
  return { ...split.end(), isHalved };
}

/** One layer after the other, for layers that have to be decoded as a whole, and for very many. */
async function layerByLayer(
  { grid, steps, rules, notes, arena }: Frame,
  opened: OpenedLayers,
): Promise<SplitPage & Pick<FlattenedPage, 'isHalved'>> {
  const pool = new TilePool(grid, arena);
  const canvases = canvasesOf(steps, grid, pool);
  for (const step of steps) {
    const bytes = await opened.open(step);
    const laying = opened.begun(step, canvases, rules);
    for (let row = 0; row < grid.rows; row++) await layStep(step, laying, canvases, rules, row);
    await endStep(step, laying, notes);
    await arena.reclaim.pictures(bytes);
  }
  // What splitting makes is as large as a layer again.
  await arena.reclaim.pictures(grid.width * grid.height * 3);
  const places = placesOver(canvases[0], opened.hasSixteenBit() ? 16 : 8);
  const frame = { hasLine: steps.some(isLine), places, linePlaces: undefined, givesBack: false };
  const split = new PageSplit(canvases[0], rules.rule, frame);
  for (let row = 0; row < grid.rows; row++) split.rowLaid(row);
  return { ...split.end(), isHalved: false };
}

function canvasesOf(steps: readonly LayStep[], grid: TileGrid, pool: TilePool): readonly Canvas[] {
  const most = Math.max(0, ...steps.map((step) => (step.kind === 'merge' ? step.from : step.onto)));
  return Array.from({ length: most + 1 }, () => emptyCanvas(grid, pool));
}

/** Lays what a step brings to one row of tiles. @param laying undefined where a group is merged */
async function layStep(
  step: LayStep,
  laying: LayingLayer | undefined,
  canvases: readonly Canvas[],
  { rule }: LayRules,
  row: number,
): Promise<void> {
  if (step.kind === 'merge') mergeRow(canvases[step.onto], canvases[step.from], row, step.group, rule);
  else await laying?.layRow(row);
}

async function endStep(step: LayStep, laying: LayingLayer | undefined, notes: StackNotes): Promise<void> {
  if (step.kind === 'merge' || laying === undefined) return;
  await laying.end();
  notes.laid(step.layer.name, step.part, laying.isOnPage, laying.shows);
}
