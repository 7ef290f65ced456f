import type { LineSettings } from '../../config/print-spec.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Noticed } from '../model/findings.js';
import { type Plate, type Raster, samplesFrom } from '../model/raster.js';
import { bitmapOf, samplesOf, unpack } from './bitmap.js';
import { fillBeneath } from './fill-beneath.js';
import { keepRings, soften, withoutSoft } from './lift-edge.js';
import { proveInk } from './proven-ink.js';
import { settle } from './settle-edge.js';
import { toneOf, toneOfBlackInk } from './tone.js';

/**
 * Black lifted from a picture that has its line painted in: the line as ink amount, and the colour beneath, where the
 * black was filled with the colour around it so that a plate out of register shows no paper.
 */
export interface Lifted {
  /** width x height x 1, 0 paper to 255 ink; undefined where nothing on the picture is ink: it was painted, or has no black. */
  readonly line: Plate | undefined;
  /** The picture that was given, without the black that was lifted. */
  readonly colour: Raster;
  /** The picture as it was, where black was lifted and the colour filled in beneath; undefined where it is unchanged. */
  readonly original: Raster | undefined;
  /** Share of the edges of its black that lie where they are crisp as ink's are, in percent; undefined without such edges. */
  readonly crispPercent: number | undefined;
  /** Whether black with edges like ink's was left as it is because it is of many tones within. */
  readonly isOfManyTones: boolean;
}

/** Where a picture's black may be lifted from. */
export interface LiftSize {
  /** Pixels per inch at print size. */
  readonly ppi: number;
  /** How far colour is carried in under the black, in pixels (fillDepthPx). */
  readonly depthPx: number;
}

/**
 * Lifts the ink from a flat rgb or grey picture without alpha. What is ink, and not dark paint, is told by the page
 * (proven-ink.ts); what is at the ink's level and hangs together with it is full ink. A soft pixel at its edge is measured
 * against the colour behind it: half as bright means half covered. Ink laid over the colour shows the picture as it was, but for
 * the ink itself, which is black on purpose: where it would not, the pixel stays as it is (settle-edge.ts).
 * @param picture changed in place; left as it is where nothing is ink
 * @param arena where the line and the picture as it was are allocated
 */
export function liftBlack(
  picture: Raster,
  settings: LineSettings,
  { ppi, depthPx }: LiftSize,
  arena: PageArena,
): Lifted {
  const tone = toneOf(picture, settings, arena);
  const { core: proven, ink, ...told } = proveInk(tone, liftLevel(settings), ppi, arena);
  if (proven === undefined || ink === undefined) {
    arena.free(tone.data);
    return { line: undefined, colour: picture, original: undefined, ...told };
  }
  const core = withoutSoft(proven, tone, ink, arena);
  // The line takes the place of the tone, which is not asked any more.
  const line = tone;
  unpack(core, 255, line.data, arena);
  soften(line, core, picture, ink, arena);
  const rings = keepRings(core, picture, arena);
  const original = { ...picture, data: copied(picture.data, arena) };
  fillBeneath(picture, bitmapOf(line.data, line, 1, arena), line.data, depthPx, arena);
  settle(line, rings, picture, ink);
  return { line, colour: picture, original, ...told };
}

/** A copy in the arena, where memory is not asked for anew from page to page. */
function copied(samples: Raster['data'], arena: PageArena): Raster['data'] {
  const { buffer, byteOffset } = arena.allocate(samples.byteLength);
  const bytes = new Uint8Array(buffer, byteOffset, samples.byteLength);
  const copy = samplesFrom(bytes, samples instanceof Uint8Array ? 8 : 16);
  copy.set(samples);
  return copy;
}

/**
 * Copies the line in the black ink of a CMYK picture, whose numbers are not to be touched: the colour is handed on as it is.
 * Black ink of many tones is a separated painting, and is not copied.
 */
export function liftBlackInk(
  picture: Raster,
  settings: LineSettings,
  { ppi }: LiftSize,
  memory: KernelMemory,
): Lifted {
  const tone = toneOfBlackInk(picture);
  const { core, ink, ...told } = proveInk(tone, liftLevel(settings), ppi, memory);
  if (core === undefined || ink === undefined)
    return { line: undefined, colour: picture, original: undefined, ...told };
  const line = { ...tone, data: samplesOf(core, 255, memory) };
  soften(line, core, { ...tone, model: 'grey', alpha: false }, ink, memory);
  return { line, colour: picture, original: undefined, ...told };
}

/** The brightest tone of ink, 0 to 255. */
function liftLevel({ liftMaxLevelPercent }: LineSettings): number {
  return Math.floor((liftMaxLevelPercent / 100) * 255);
}

/** Says that nothing was lifted, and why. */
export function noticePainted({ line, crispPercent, isOfManyTones }: Lifted): Noticed[] {
  if (line !== undefined) return [];
  const hasBlack = crispPercent !== undefined;
  const tones = isOfManyTones ? ', but it is of many tones within' : '';
  return [
    {
      code: 'page-painted',
      severity: 'note',
      message: hasBlack
        ? 'The page was taken as painted: no black was lifted, all of it prints in the colour plates'
        : 'The page has no black that could be line: all of it prints in the colour plates',
      measured: hasBlack
        ? `${crispPercent.toFixed(0)} % of the edges of its black are crisp as ink is${tones}`
        : undefined,
      remedy: 'Nothing to do if no ink is on it; if there is, drop the inks as a file of their own.',
    },
  ];
}
