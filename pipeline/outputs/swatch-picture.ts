import type { Swatch } from '../../config/job.js';
import { openPress } from '../../config/press.js';
import type { PressChoice, PrintSpec } from '../../config/print-spec.js';
import { openSeparator } from '../inks/separator.js';
import { PageArena } from '../kernels/page-arena.js';
import { type PrintedSwatch, printSwatches } from '../palette/swatch-print.js';
import { drawSwatchSheet } from '../palette/swatch-sheet.js';
import { encodePicture } from '../write.js';

/** What a sheet of swatches depends on. */
export interface SwatchRequest {
  /** Its code. */
  readonly issue: string;
  /** Title of the comic. */
  readonly title: string;
  /** A shipped condition, or the printer's profile. */
  readonly press: PressChoice;
  /** How pages are separated for that press. */
  readonly settings: Pick<
    PrintSpec,
    'intent' | 'blackPointCompensation' | 'inkLimitPercent' | 'inks' | 'inkSaving'
  >;
  /** Whether proofs show the paper's colour. */
  readonly paperWhite: boolean;
  /** From here on a colour counts as out of gamut, CIEDE2000; 0 for never. */
  readonly outOfGamutDe: number;
  /** One at least. */
  readonly swatches: readonly Swatch[];
}

/** A sheet of swatches, and what it shows. */
export interface SwatchPicture {
  readonly png: Buffer;
  readonly printed: readonly PrintedSwatch[];
}

/** Pixels per inch stated in the file: a patch is some 19 mm wide on paper. Our own choice. */
const sheetPpi = 150;

/**
 * Draws the swatches of an issue as a press condition prints them. The same request and profile give the same bytes.
 * @throws PlatehandError `profile-invalid`, `profile-timeout`, `wrong-use`
 */
export async function swatchPicture(request: SwatchRequest, arena = new PageArena()): Promise<SwatchPicture> {
  const { settings, paperWhite, swatches, issue, title, outOfGamutDe } = request;
  const press = await openPress(request.press);
  // Not kept, as those of pages are: a sheet is drawn once, and then stands.
  const separator = openSeparator(press, settings);
  const printed = printSwatches(swatches, separator, paperWhite, arena);
  const alone = settings.inks.length === 1 ? 'black ink alone' : `ink limit ${separator.inkLimitPercent} %`;
  const intent =
    settings.intent === 'relative' || settings.intent === 'absolute' ? ' colorimetric' : ' intent';
  const paper = paperWhite ? 'paper white shown' : 'paper white not shown';
  const condition = `${press.title} (${press.id}), ${alone}, ${settings.intent}${intent}, ${paper}`;
  const sheet = await drawSwatchSheet({ issue, title, condition, outOfGamutDe }, printed, arena);
  return { png: await encodePicture(sheet, { ppi: sheetPpi, format: 'png' }), printed };
}
