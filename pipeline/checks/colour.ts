import { type CheckLimitName, checkLimits, limitSource } from '../../config/check-limits/index.js';
import { figureBeside } from '../../config/figures.js';
import type { PrintSpec } from '../../config/print-spec.js';
import { mmToPx } from '../../config/units.js';
import { gamutFigures } from '../colour-faults/gamut.js';
import { measureCoverage } from '../colour-faults/heaviest-inch.js';
import type { NearBlack } from '../colour-faults/near-black.js';
import { measureBands } from '../colour-faults/ramps.js';
import { measureSeveralInks } from '../colour-faults/several-inks.js';
import type { Separator } from '../inks/separator.js';
import type { Noticed } from '../model/findings.js';
import { PlaceGrid } from '../model/place-grid.js';
import { type HeatMap, type MeasuredBox, placesOf } from '../model/places.js';
import type { Separation } from '../model/separation.js';

/** The inks of a page, and what was measured while it was there as painted. */
export interface ColouredPage {
  /** The page as it prints. */
  readonly composite: Separation;
  /** Its inks beneath the line. */
  readonly separation: Separation;
  readonly gamut: HeatMap | undefined;
  readonly nearBlack: NearBlack | undefined;
}

/** What of the print spec the colour is held against. */
export type ColourSpec = Pick<PrintSpec, 'checks' | 'trim' | 'colourPpi'>;

/** Squares in which colours out of gamut are gathered, and the share of one that makes it a place. Own choice. */
const gamutSquareMm = 10;
const gamutSquareShare = 0.25;

/** Thin line in several inks is told from a balloon of lettering on, millimetres: ordinary pages have up to 250. Own choice. */
const severalInksMm = 300;

/** What has to be known of the press: the most ink that holds and where that comes from, and what inks look like. */
export type PressFacts = Pick<Separator, 'inkLimitPercent' | 'inkLimitSource' | 'labOf'>;

/** Looks at the colour of a finished page: what the press cannot print, or prints in a way that somebody may not have meant. */
export function noticeColour(page: ColouredPage, spec: ColourSpec, press: PressFacts): Noticed[] {
  return [
    ...noticeGamut(page.gamut, page.composite, spec),
    ...noticeHeavyInk(page.composite, spec, press),
    ...noticeNearBlack(page, spec),
    ...noticeSeveralInks(page.composite, spec),
    ...noticeBands(page.separation, spec, press),
  ];
}

/** The places of boxes on a page at the colour ppi, as a finding has them. */
function placesOn(boxes: readonly MeasuredBox[], size: Separation, spec: ColourSpec) {
  const places = placesOf(boxes, { size, spec, ppi: spec.colourPpi });
  return places === undefined ? {} : { places };
}

/** Where limits come from, each once. */
function sourceOf({ checks }: ColourSpec, ...names: CheckLimitName[]): string {
  return [...new Set(names.map((name) => limitSource(checks, name)))].join('; ');
}

/** A limit in words: `at most 10 percent of the page`. */
function atMost({ checks }: ColourSpec, name: CheckLimitName): string {
  return `at most ${checks[name]} ${checkLimits[name].unit}`;
}

/** Says how much of a page the press cannot print as it was painted. */
function noticeGamut(gamut: HeatMap | undefined, page: Separation, spec: ColourSpec): Noticed[] {
  const { outOfGamutPercent, outOfGamutDe, outOfGamutWarnDe } = spec.checks;
  if (gamut === undefined || outOfGamutPercent === 0 || outOfGamutDe === 0) return [];
  const { percent, meanDe, p95De, mostDe } = gamutFigures(gamut, outOfGamutDe);
  const isFar = outOfGamutWarnDe > 0 && meanDe > outOfGamutWarnDe;
  if (percent <= outOfGamutPercent && !isFar) return [];
  const share = figureBeside(percent, outOfGamutPercent, 1);
  const mean = figureBeside(meanDe, outOfGamutWarnDe, 1);
  return [
    {
      code: 'out-of-gamut',
      severity: isFar ? 'warn' : 'note',
      message: 'The press cannot print part of the page as it was painted: its colours come out duller',
      measured: `${share} % of the page by more than ${outOfGamutDe}; CIEDE2000 mean ${mean}, 95 % within ${p95De.toFixed(1)}, most ${mostDe.toFixed(1)}`,
      limit: `${atMost(spec, 'outOfGamutPercent')} (a warning above a mean of ${outOfGamutWarnDe})`,
      source: sourceOf(spec, 'outOfGamutPercent', 'outOfGamutDe', 'outOfGamutWarnDe'),
      remedy:
        'Look at the picture of colours out of gamut beside the proof; nothing to do if the proof is what you want, else paint with a soft proof of the press condition.',
      ...placesOn(gamutBoxes(gamut, page, spec), page, spec),
    },
  ];
}

function gamutBoxes(gamut: HeatMap, page: Separation, { checks, colourPpi }: ColourSpec): MeasuredBox[] {
  const step = Math.round(colourPpi / gamut.ppi);
  const side = Math.round(mmToPx(gamutSquareMm, gamut.ppi)) * step;
  const grid = new PlaceGrid(page, side);
  for (let i = 0; i < gamut.values.length; i++) {
    const de = gamut.values[i] * gamut.perStep;
    if (de <= checks.outOfGamutDe) continue;
    grid.add((i % gamut.width) * step, Math.floor(i / gamut.width) * step, de, de, step, step);
  }
  const least = gamutSquareShare * (side / step) ** 2 * checks.outOfGamutDe;
  return grid.boxes(least, (most) => `CIEDE2000 up to ${most.toFixed(1)}`);
}

/** Says where ink lies so heavily that it may not dry. */
function noticeHeavyInk(composite: Separation, spec: ColourSpec, limit: PressFacts): Noticed[] {
  const { heavyInchPercent } = spec.checks;
  if (heavyInchPercent === 0) return [];
  const { meanPercent, heaviest } = measureCoverage(composite, spec.colourPpi);
  const most = (limit.inkLimitPercent * heavyInchPercent) / 100;
  if (heaviest.percent <= most) return [];
  return [
    {
      code: 'ink-heavy',
      severity: heaviest.percent > limit.inkLimitPercent ? 'warn' : 'note',
      message: 'On a whole square inch of the page there is nearly as much ink as the paper takes',
      measured: `${figureBeside(heaviest.percent, most, 1)} % on the heaviest square inch, ${meanPercent.toFixed(1)} % on the page`,
      limit: `at most ${Number(most.toFixed(1))} %, ${heavyInchPercent} % of the ink limit of ${limit.inkLimitPercent} %`,
      source: `${limitSource(spec.checks, 'heavyInchPercent')}; ink limit: ${limit.inkLimitSource}`,
      remedy:
        'Ask the printer whether such areas dry; inkSaving, or a lower inkLimit for the page, takes ink off.',
      ...placesOn([{ ...heaviest, measured: `${heaviest.percent.toFixed(1)} %` }], composite, spec),
    },
  ];
}

/** Says where almost black stands beside true black. */
function noticeNearBlack({ nearBlack, composite }: ColouredPage, spec: ColourSpec): Noticed[] {
  const { nearBlackPercent } = spec.checks;
  if (nearBlack === undefined || nearBlackPercent === 0 || nearBlack.percent <= nearBlackPercent) return [];
  return [
    {
      code: 'near-black',
      severity: 'note',
      message: `Flat colour is almost black (most of it ${nearBlack.colour.join(', ')} of 255) beside true black, which prints deeper`,
      measured: `${figureBeside(nearBlack.percent, nearBlackPercent, 1)} % of the page`,
      limit: atMost(spec, 'nearBlackPercent'),
      source: sourceOf(spec, 'nearBlackPercent'),
      remedy: 'Fill it with 0, 0, 0 or ink it if black was meant; nothing to do where the tone is meant.',
      ...placesOn(nearBlack.boxes, composite, spec),
    },
  ];
}

/** Says where thin line needs more than one ink. */
function noticeSeveralInks(composite: Separation, spec: ColourSpec): Noticed[] {
  const { severalInksLineMm } = spec.checks;
  if (severalInksLineMm === 0) return [];
  const { lengthMm, boxes } = measureSeveralInks(composite, spec.colourPpi, severalInksLineMm);
  if (lengthMm <= severalInksMm) return [];
  return [
    {
      code: 'fine-in-several-inks',
      severity: 'note',
      message:
        'Fine lettering or line prints in several inks, or is left out of several: out of register, it blurs',
      measured: `some ${Math.ceil(lengthMm)} mm thinner than ${severalInksLineMm} mm`,
      limit: `${severalInksMm} mm of such line`,
      source: sourceOf(spec, 'severalInksLineMm'),
      remedy: 'Put it in one ink (pure black, cyan, magenta or yellow) or make it heavier.',
      ...placesOn(boxes, composite, spec),
    },
  ];
}

/** Says where a gradient has too few steps for its length. */
function noticeBands(separation: Separation, spec: ColourSpec, separator: PressFacts): Noticed[] {
  const { bandWidthMm, bandStepDe } = spec.checks;
  if (bandWidthMm === 0 || bandStepDe === 0) return [];
  const bands = measureBands(separation, spec.colourPpi, spec.checks, separator);
  if (bands === undefined) return [];
  const [width, step] = [
    figureBeside(bands.widthMm, bandWidthMm, 1),
    figureBeside(bands.stepDe, bandStepDe, 1),
  ];
  return [
    {
      code: 'gradient-steps',
      severity: 'note',
      message: 'A long gradient has so few steps that they may show as bands',
      measured: `bands of ${width} mm, CIEDE2000 of ${step} (${bands.stepPercent.toFixed(1)} % of ink) from one to the next`,
      limit: `bands of ${bandWidthMm} mm with ${bandStepDe} from one to the next`,
      source: sourceOf(spec, 'bandWidthMm', 'bandStepDe'),
      remedy: 'Paint the gradient in 16 bit and export it so, or lay a little noise over it.',
      ...placesOn(bands.boxes, separation, spec),
    },
  ];
}
