import { PlatehandError } from '../../config/errors.js';
import { assemble, type PageArt } from '../flatten.js';
import { type Noticed, stopOf } from '../model/findings.js';
import type { PageRequest } from '../model/page-request.js';
import { partReader } from '../names/part-names.js';
import { noticePartSizes, type ReadParts } from './page-parts.js';

/** Findings after which there is no page to separate. */
const shapeCodes = new Set(['bleed-missing', 'shape-wrong']);

/** A page's art, and what of its files has to be known later on. */
export type TakenPage = Pick<ReadParts, 'colourPlan' | 'linePlan'> & {
  readonly art: PageArt | undefined;
  readonly isLayered: boolean;
  readonly hasLineFile: boolean;
  readonly noticed: readonly Noticed[];
};

/**
 * Takes a page apart into colour and line. What is wrong with its shapes or its layers is a finding that stops it.
 */
export async function takeApart(request: PageRequest, read: ReadParts): Promise<TakenPage> {
  const { page, units, partWords } = request;
  const { parts, colourPlan, linePlan } = read;
  const plans = { colourPlan, linePlan, hasLineFile: read.lineFile !== undefined };
  const sizes = parts === undefined ? [] : noticePartSizes(read, page.spec, units);
  const unfit = sizes.some(({ severity, code }) => severity === 'stop' && shapeCodes.has(code));
  if (parts === undefined || unfit) {
    return { ...plans, art: undefined, isLayered: false, noticed: [...read.noticed, ...sizes] };
  }
  const isLayered = parts.colour?.kind === 'layered';
  try {
    const art = await assemble(parts, partReader(partWords), page.spec);
    const noticed = [...sizes, ...withFile(art.noticed, read)];
    return { ...plans, art, isLayered, noticed };
  } catch (thrown) {
    // Layers are decoded as they are laid, so that a damaged one comes to light only here.
    if (!(thrown instanceof PlatehandError)) throw thrown;
    const stop = stopOf(thrown, thrown.place.file ?? read.colourFile);
    return { ...plans, art: undefined, isLayered, noticed: [...sizes, stop] };
  }
}

/** Findings about line art, which names its own file where it came apart from the colour. */
const lineCodes = new Set(['line-grey', 'line-coloured']);

/** What flattening and separating noticed is about the colour file, unless it says otherwise or is about line. */
function withFile(
  noticed: readonly Noticed[],
  { colourFile, lineFile, letteringFile }: ReadParts,
): Noticed[] {
  const inked = lineFile ?? letteringFile;
  return noticed.map((one) => {
    const file = lineCodes.has(one.code) ? (inked ?? colourFile) : (colourFile ?? inked);
    return { file, ...one } as Noticed;
  });
}
