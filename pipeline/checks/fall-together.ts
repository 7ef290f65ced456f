import { limitSource } from '../../config/check-limits/index.js';
import { figureBeside, formatMeasured } from '../../config/figures.js';
import { isBlackOnly, type PrintSpec } from '../../config/print-spec.js';
import type { LengthUnit } from '../../config/units.js';
import type { Separator } from '../inks/separator.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Noticed } from '../model/findings.js';
import { placesOf } from '../model/places.js';
import type { Separation } from '../model/separation.js';
import { measureTogether } from '../palette/fall-together.js';

/** From here on two colours differ clearly; 0.05 is clear side by side, and what tells a story apart is twice that. Own choice. */
const clearOklab = 0.1;

/**
 * Says where neighbouring flats fall together for readers without red or green cones, and no line parts them: the shape between them is
 * lost to these readers. A hint, whatever its length: it may not matter to the story.
 * @param composite the page as it prints
 */
export function noticeTogether(
  composite: Separation,
  spec: Pick<PrintSpec, 'checks' | 'trim' | 'colourPpi' | 'inks'>,
  units: LengthUnit,
  separator: Pick<Separator, 'softProof'>,
  arena: PageArena,
): Noticed[] {
  const { fallTogetherMm, fallTogetherOklab } = spec.checks;
  // Greys are told apart by everybody.
  if (fallTogetherMm === 0 || fallTogetherOklab === 0 || isBlackOnly(spec)) return [];
  const limits = { clearOklab, togetherOklab: fallTogetherOklab };
  const found = measureTogether(composite, spec.colourPpi, limits, separator, arena);
  if (found === undefined || found.lengthMm <= fallTogetherMm) return [];
  const { pair, lengthMm, boxes } = found;
  const [one, other] = pair.colours.map((colour) => colour.join(', '));
  const places = placesOf(boxes, { size: composite, spec, ppi: spec.colourPpi });
  return [
    {
      code: 'colours-fall-together',
      severity: 'note',
      message:
        'Colours that lie side by side without a line fall together for readers with red-green deficiency, some 8 % of men',
      measured: `${formatMeasured(Number(figureBeside(lengthMm, fallTogetherMm, 0)), units)} of border; most of it ${one} beside ${other} (sRGB), in OKLab ${pair.distance.toFixed(2)} apart, with ${pair.eyes} ${figureBeside(pair.seen, fallTogetherOklab, 3)}`,
      limit: `at most ${formatMeasured(fallTogetherMm, units)} of border nearer than ${fallTogetherOklab}`,
      source: [
        ...new Set([
          limitSource(spec.checks, 'fallTogetherMm'),
          limitSource(spec.checks, 'fallTogetherOklab'),
        ]),
      ].join('; '),
      remedy:
        'Make one of them lighter or darker where the shape matters; platehand proof --seen-as deuteranopia shows the page so.',
      ...(places === undefined ? {} : { places }),
    },
  ];
}
