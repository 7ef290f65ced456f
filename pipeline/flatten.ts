import { PlatehandError } from '../config/errors.js';
import { noticePartSizes } from './checks/resolution.js';
import type { PageArena } from './kernels/page-arena.js';
import { assemble } from './layers/assemble.js';
import type { PageArt } from './layers/page-art.js';
import { type Noticed, stopOf } from './model/findings.js';
import type { PageRequest } from './model/page-request.js';
import { partReader } from './names/layer-parts.js';
import type { ReadPage } from './read.js';

/** A page flattened into colour and line, and what of its files has to be known later on. */
export type FlatPage = Pick<ReadPage, 'colourPlan' | 'linePlan'> & {
  /** undefined for a page that cannot be made; the reason is among what was noticed. */
  readonly art: PageArt | undefined;
  /** Whether the colour came in layers. */
  readonly isLayered: boolean;
  /** Whether the line came in a file of its own. */
  readonly hasLineFile: boolean;
  /** Whether it is a spread that came in halves, so that its fold has to be looked at. */
  readonly isHalved?: boolean;
  readonly noticed: readonly Noticed[];
};

/** Findings after which there is no page to separate. */
const shapeCodes = new Set(['bleed-missing', 'shape-wrong']);

/**
 * Flattens a page, its black line apart (layers/assemble.ts says how for each kind of page). What is wrong with its shapes or
 * its layers is a finding that stops it.
 * @param read its pictures are used up
 * @param arena where colour and line are allocated as far as they fit
 */
export async function flattenPage(
  read: ReadPage,
  { page, units, partWords }: Pick<PageRequest, 'page' | 'units' | 'partWords'>,
  arena: PageArena,
): Promise<FlatPage> {
  const { parts, colourPlan, linePlan } = read;
  const { hasLine, isHalved } = read;
  const facts = { colourPlan, linePlan, hasLineFile: hasLine, isHalved };
  const sizes = parts === undefined ? [] : noticePartSizes(read, page.spec, units);
  const unfit = sizes.some(({ severity, code }) => severity === 'stop' && shapeCodes.has(code));
  if (parts === undefined || unfit) {
    return { ...facts, art: undefined, isLayered: false, noticed: [...read.noticed, ...sizes] };
  }
  const isLayered = parts.colour?.kind === 'layered';
  try {
    const art = await assemble(parts, partReader(partWords), page.spec, arena);
    const noticed = [...read.noticed, ...sizes, ...withFile(art.noticed, read, isLayered)];
    return { ...facts, art, isLayered, noticed };
  } catch (thrown) {
    // Layers are decoded as they are laid, so that a damaged one comes to light only here.
    if (!(thrown instanceof PlatehandError)) throw thrown;
    const stop = stopOf(thrown, thrown.place.file ?? read.colourFile);
    return { ...facts, art: undefined, isLayered, noticed: [...read.noticed, ...sizes, stop] };
  }
}

/** Findings about line art, which names its own file where it came apart from the colour. */
const lineCodes = new Set(['line-grey', 'line-coloured']);

/** What flattening noticed is about the colour file, unless it says otherwise or is about line. */
function withFile(
  noticed: readonly Noticed[],
  { colourFile, lineFile, letteringFile }: ReadPage,
  isLayered: boolean,
): Noticed[] {
  // Layers have their line among them; lettering beside them is hardly ever what is grey.
  const inked = lineFile ?? (isLayered ? undefined : letteringFile);
  return noticed.map((one) => {
    const file = lineCodes.has(one.code) ? (inked ?? colourFile) : (colourFile ?? inked);
    return { file, ...one } as Noticed;
  });
}
