import * as z from 'zod';
import { defaultReadLimits } from '../reading/read-limits.js';
import { type InStep, line, sha256, whole, within } from './form-fields.js';
import { heldAgainst } from './form-refusal.js';
import type { SentSheet } from './sent-sheet.js';

/** Whoever can write to the queue can put anything there: a picture of an issue is drawn only as far as every field of it is sound. */

/** As in job.yaml, and what is written about its pages. */
const longest = { id: 32, code: 32, title: 200, text: 4000 } as const;
/** More pages, scenes and colours than an issue has. */
const most = { pages: 9999, scenes: 9999, colours: 256 } as const;
const highestPage = 9999;
/** Wider than a spread of the largest page. */
const widestAspect = 100;
/** OKLab is made for colours from 0 to 1; figures about it are sums and differences of such. */
const oklabMost = 10;

const id = line(longest.id);
const title = line(longest.title);
const text = z.string().max(longest.text);
const numbers = z.array(whole(highestPage, 1)).max(2);
const figure = within(-oklabMost, oklabMost);
/** Shares come to 100 as far as sums of floating-point figures do. */
const percent = within(0, 100.001);

const scene = z.strictObject({ id, title, setOff: z.boolean().exactOptional() });
const strip = z
  .array(z.strictObject({ colour: z.string().regex(/^#[0-9a-f]{6}$/), sharePercent: percent }))
  .max(most.colours);

const page = z.strictObject({
  id,
  label: title,
  scene: id.optional(),
  sceneTitle: title.optional(),
  kind: line(longest.code),
  numbers,
  isSpread: z.boolean(),
  aspect: within(1 / widestAspect, widestAspect),
  state: z.enum(['done', 'attention', 'stopped', 'ready', 'waiting', 'missing', 'contested', 'held']),
  note: text.optional(),
  change: z.enum(['new', 'changed', 'unchanged']).optional(),
  thumbnail: z.strictObject({ sha256, bytes: whole(defaultReadLimits.maxFileBytes) }).optional(),
});

const contactSheet = z.strictObject({
  issue: line(longest.code),
  name: title.optional(),
  title,
  number: whole(Number.MAX_SAFE_INTEGER).optional(),
  condition: text,
  due: title.optional(),
  scenes: z.array(scene).max(most.scenes),
  summary: text,
  palettes: z.record(id, strip).optional(),
  pages: z.array(page).max(most.pages),
});

const oklab = z.tuple([figure, figure, figure]);
const palette = z.array(z.strictObject({ oklab, sharePercent: percent })).max(most.colours);
const figures = z.strictObject({ lightness: figure, chroma: figure, temperature: figure, contrast: figure });

const story = z.strictObject({
  pages: z
    .array(
      z.strictObject({
        page: id,
        kind: line(longest.code),
        scene: id.optional(),
        numbers,
        palette,
        figures: figures.optional(),
        fromScene: figure.optional(),
      }),
    )
    .max(most.pages),
  scenes: z
    .array(
      z.strictObject({
        scene: id,
        title,
        setOff: z.boolean(),
        pages: z.array(id).max(most.pages),
        palette,
        unifying: z.strictObject({ oklab, medianPercent: percent, elsewherePercent: percent }).optional(),
        figures: figures.optional(),
      }),
    )
    .max(most.scenes),
  steps: z
    .array(
      z.strictObject({
        from: id,
        to: id,
        page: id,
        distance: figure,
        lightness: figure,
        chroma: figure,
        temperature: figure,
      }),
    )
    .max(most.pages),
  covers: figures.optional(),
  interiors: figures.optional(),
});

const colourScript = z.strictObject({
  kind: z.literal('colour-script'),
  issue: line(longest.code),
  title,
  number: whole(Number.MAX_SAFE_INTEGER).optional(),
  scenes: z.array(scene).max(most.scenes),
  story,
});

const sheetForm = z.union([colourScript, contactSheet]);

/**
 * A picture of an issue that came from the queue.
 * @param value what JSON gave
 * @throws PlatehandError `queue-refused` that names the first field which is not as it should be
 */
export function checkedSheet(value: unknown): SentSheet {
  const isScript = typeof value === 'object' && value !== null && 'kind' in value;
  const form: z.ZodType<z.infer<typeof sheetForm>> = isScript ? colourScript : contactSheet;
  const read = heldAgainst(form, value, { what: 'A picture on the queue', whole: 'the picture' });
  return read as InStep<z.infer<typeof sheetForm>, SentSheet>;
}
