import {
  type ColourSpace,
  exactTransform,
  type LoadedProfile,
  type TableTransform,
  tableTransform,
} from '../../config/press/colour-engine.js';
import type { InkSaving, Intent } from '../../config/print-spec.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { ColourModel, Raster } from '../model/raster.js';
import { processPlanes, type Separation } from '../model/separation.js';
import { keepBlack } from './black-kept.js';
import { blackFor, blackNodes, lightnessOf } from './black-only.js';
import { limitNodes } from './ink-limit.js';
import { type InkModel, inkModel } from './ink-model.js';
import { saveInk } from './ink-saving.js';
import { engineInkTable, type InkTable, rgbInkTable } from './ink-table.js';
import { convert8, convert16, type LimitedTables } from './link-pixels.js';

/**
 * A device link: from the numbers of a picture straight to the inks of one press, with the ink limit built in. Colours
 * are looked up in a table of nodes; between nodes the engine interpolates over tetrahedra, so that no pixel can have
 * more ink than the nodes around it.
 */
export interface DeviceLink {
  /** Nodes that the ink limit changed. */
  readonly limitedNodes: number;
  /**
   * Separates a picture of the link's model and depth.
   * @param separation receives the plates; as large as the picture
   * @returns the most C+M+Y+K over all pixels, in 8-bit counts (0 to 1020), before and after the ink limit
   */
  convert(raster: Raster, separation: Separation, memory: KernelMemory): { before: number; after: number };
}

/** What a link is made for. */
export interface LinkOrder {
  readonly source: ColourSpace;
  readonly model: ColourModel;
  readonly bits: 8 | 16;
  readonly press: LoadedProfile;
  readonly intent: Intent;
  readonly blackPointCompensation: boolean;
  readonly inkLimitPercent: number;
  /** Whether black ink alone prints. */
  readonly blackOnly: boolean;
  /** Black instead of the grey of the other inks; undefined leaves the inks to the profile. */
  readonly inkSaving?: InkSaving | undefined;
}

/**
 * Nodes along each RGB channel: page pixels then come within 5 of 255 of the exact conversion, 99.5 % of them within 2
 * (test/reference/little-cms.test.ts). 33 misses that; so does 65 in the absolute intent, where the table has to show
 * the tint of the paper as well.
 */
export function rgbGridPoints(intent: Intent): number {
  return intent === 'absolute' ? 97 : 65;
}

/**
 * Nodes along each ink of a CMYK picture. Pixels then print within 1.8 CIEDE2000 of the exact conversion, 95 % of them
 * (test/reference/kept-black.test.ts). One more than a power of two: with others, such as 21, the engine's 16-bit table is wrong
 * by up to 238 of 255 in solid black.
 */
const cmykGridPoints = 17;

/**
 * By how much the ink of a pixel may differ from the mean of the nodes around it, in 8-bit counts: four inks round by half
 * a count each, in both tables, and the weights of the nodes are fixed-point numbers.
 */
const roundingCounts = 8;

/** Steps of the grey table: 16 for each 8-bit level, so that 8-bit greys are exact and 16-bit ones miss by 1/32 level. */
const greySteps = 255 * 16;

/** Builds a link; about a fifth of a second, so keep it. */
export function buildLink(order: LinkOrder): DeviceLink {
  return order.model === 'grey' ? greyLink(order) : tableLink(order);
}

/** What the press makes of its inks, by its profile's own relative colorimetric table. */
function pressInkModel(press: LoadedProfile): InkModel {
  return inkModel(
    exactTransform({ from: press, to: 'lab', intent: 'relative', blackPointCompensation: false }),
  );
}

function tableLink(order: LinkOrder): DeviceLink {
  const { source: from, press: to, intent, blackPointCompensation, bits } = order;
  const grid = order.model === 'rgb' ? rgbGridPoints(intent) : cmykGridPoints;
  const raw = tableTransform({ from, to, intent, blackPointCompensation }, grid, bits);
  const model = onceModel(to);
  const own = nodesFor(order, raw, model);
  // White is the last node of an RGB table and the first of a CMYK one.
  keepPaper(own, order.model === 'rgb' ? own.length - 4 : 0, intent);
  const nodes = saved(own, grid, order, model);
  const limits = limited(nodes, order, model);
  const mostTakenOff = Math.ceil(255 * mostInkTakenOff(nodes, limits.nodes)) + roundingCounts;
  const tablesOf = <Table>(tableOf: (nodes: Float64Array) => Table): LimitedTables<Table> => {
    const before = tableOf(nodes);
    return { before, after: limits.limited === 0 ? before : tableOf(limits.nodes), mostTakenOff };
  };
  const convert =
    bits === 16
      ? converter16(tablesOf((each) => raw.withNodes(each)))
      : converter8(tablesOf((each) => inkTableOf(each, raw)));
  return { limitedNodes: limits.limited, convert };
}

function onceModel(press: LoadedProfile): () => InkModel {
  let model: InkModel | undefined;
  return () => {
    model ??= pressInkModel(press);
    return model;
  };
}

/** Nodes held to the ink limit. One ink never passes its own solid, and the limit's margin would take the solid from it. */
function limited(nodes: Float64Array, { blackOnly, inkLimitPercent }: LinkOrder, model: () => InkModel) {
  if (blackOnly) return { nodes, limited: 0 };
  return limitNodes(nodes, inkLimitPercent, model);
}

/** What the nodes of a table print, before the job's wishes and the ink limit. */
function nodesFor(order: LinkOrder, raw: TableTransform, model: () => InkModel): Float64Array {
  const { source, intent, press } = order;
  if (order.blackOnly) return blackNodes(asBlack(order), raw.gridPoints);
  // The absolute intent shows one paper on another, and has no pure black.
  if (order.model !== 'cmyk' || intent === 'absolute' || typeof source === 'string') return raw.nodes.slice();
  return keepBlack(raw.nodes, raw.gridPoints, { source, press, model: model() });
}

/** The perceptual and the saturation table have their own way to bring the dark ones in; with black alone it is this. */
function asBlack({ intent, blackPointCompensation, ...order }: LinkOrder) {
  const isCompensated = blackPointCompensation || intent === 'perceptual' || intent === 'saturation';
  return { ...order, isCompensated };
}

/** The nodes that the job wants, before the ink limit. */
function saved(
  nodes: Float64Array,
  gridPoints: number,
  { inkSaving, blackOnly }: LinkOrder,
  model: () => InkModel,
): Float64Array {
  return inkSaving?.enabled && !blackOnly ? saveInk(nodes, gridPoints, inkSaving, model()).nodes : nodes;
}

function inkTableOf(nodes: Float64Array, raw: TableTransform): InkTable {
  return raw.inputChannels === 3 ? rgbInkTable(nodes, raw.gridPoints) : engineInkTable(raw.withNodes(nodes));
}

// Functions of their own, so that a link does not hold on to the nodes that its tables were made from.
function converter8(tables: LimitedTables<InkTable>): DeviceLink['convert'] {
  return (raster, separation, memory) => convert8(raster, separation, tables, memory);
}

function converter16(tables: LimitedTables<TableTransform>): DeviceLink['convert'] {
  return (raster, separation) => convert16(raster, separation, tables);
}

/** The most that a limit takes off the sum of inks of any node, 0 to 4. */
function mostInkTakenOff(before: Float64Array, after: Float64Array): number {
  let most = 0;
  for (let at = 0; at < before.length; at += 4) {
    let taken = 0;
    for (let ink = at; ink < at + 4; ink++) taken += before[ink] - after[ink];
    if (taken > most) most = taken;
  }
  return most;
}

/** Paper stays paper: a white that the table gives at most one count of ink gets none. Absolute white is tinted. */
function keepPaper(nodes: Float64Array, at: number, intent: Intent): void {
  if (intent === 'absolute') return;
  const white = nodes.subarray(at, at + 4);
  if (white.every((ink) => ink <= 1 / 255)) white.fill(0);
}

/** Grey needs no grid: each of its levels is converted exactly. */
function greyLink(order: LinkOrder): DeviceLink {
  const { intent } = order;
  const model = onceModel(order.press);
  const exact = order.blackOnly ? greyToBlack(order) : greyToInks(order);
  const own = new Float64Array((greySteps + 1) * 4);
  for (let step = 0; step <= greySteps; step++) own.set(exact(step / greySteps), step * 4);
  keepPaper(own, greySteps * 4, intent);
  const nodes = saved(own, greySteps + 1, order, model);
  const limits = limited(nodes, order, model);
  const [before, after] = [nodes, limits.nodes].map((values) =>
    Uint8Array.from(values, (ink) => Math.round(ink * 255)),
  );
  return {
    limitedNodes: limits.limited,
    convert: (raster, separation) => convertGrey(raster, separation, before, after),
  };
}

function greyToInks(order: LinkOrder): (level: number) => number[] {
  const { source: from, press: to, intent, blackPointCompensation } = order;
  const exact = exactTransform({ from, to, intent, blackPointCompensation });
  return (level) => exact(from === 'srgb' ? [level, level, level] : [level]);
}

function greyToBlack(order: LinkOrder): (level: number) => number[] {
  const black = asBlack(order);
  const [lightness, inkFor] = [lightnessOf(black), blackFor(black)];
  return (level) => [0, 0, 0, inkFor(lightness([level]))];
}

function convertGrey(
  raster: Raster,
  separation: Separation,
  before: Uint8Array,
  after: Uint8Array,
): { before: number; after: number } {
  const { data } = raster;
  const [cyan, magenta, yellow, black] = processPlanes(separation);
  const scale = data instanceof Uint8Array ? 16 : 16 / 257;
  const used = new Uint8Array(greySteps + 1);
  for (let pixel = 0; pixel < data.length; pixel++) {
    const step = (data[pixel] * scale + 0.5) | 0;
    used[step] = 1;
    cyan[pixel] = after[step * 4];
    magenta[pixel] = after[step * 4 + 1];
    yellow[pixel] = after[step * 4 + 2];
    black[pixel] = after[step * 4 + 3];
  }
  return { before: mostOfSteps(before, used), after: mostOfSteps(after, used) };
}

function mostOfSteps(inks: Uint8Array, used: Uint8Array): number {
  let most = 0;
  for (let step = 0; step <= greySteps; step++) {
    const at = step * 4;
    if (used[step] === 1) most = Math.max(most, inks[at] + inks[at + 1] + inks[at + 2] + inks[at + 3]);
  }
  return most;
}
