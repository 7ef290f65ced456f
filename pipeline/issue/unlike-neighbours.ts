import { limitSource } from '../../config/check-limits/index.js';
import { figureBeside, medianOf } from '../../config/figures.js';
import type { IssuePage } from '../../config/job.js';
import type { Noticed } from '../model/findings.js';
import type { LineStrokes, PageResult } from '../model/page-result.js';

/** Pages whose line is drawn or scanned otherwise than that of their issue. */

/** Fewer pages of a kind have no usual line. Own choice. */
const leastPages = 5;

/**
 * How far width has to be off as well before density is told, as the limit to this power: a scan that was made too dark or too light has
 * both. A page at night, a splash page, or a figure in the void is dense or sparse alone.
 */
const widthPower = 0.5;

/** Longer than the noise of floating point, shorter than anything that is meant. */
const noise = 1e-6;

interface UnlikePage {
  readonly run: { readonly page: IssuePage };
  readonly result: PageResult;
}

interface StrokedPage {
  readonly page: IssuePage;
  readonly strokes: LineStrokes;
}

/**
 * Notices pages whose line is so many times as wide as that of the issue, or so dense and wider too; or thinner. Covers and spreads are
 * drawn for themselves and at other sizes: they are left out, and pages in black alone have only each other.
 */
export function noticeUnlike(pages: readonly UnlikePage[]): [string, Noticed][] {
  const groups = new Map<number, StrokedPage[]>();
  for (const { run, result } of pages) {
    const strokes = result.measures?.strokes;
    if (strokes === undefined || run.page.kind === 'cover' || run.page.numbers.length !== 1) continue;
    const inks = result.condition.inks.length;
    groups.set(inks, [...(groups.get(inks) ?? []), { page: run.page, strokes }]);
  }
  return [...groups.values()].filter(({ length }) => length >= leastPages).flatMap(unlikeIn);
}

function unlikeIn(pages: readonly StrokedPage[]): [string, Noticed][] {
  const widthMm = medianOf(pages.map(({ strokes }) => strokes.widthMm));
  const coveragePercent = medianOf(pages.map(({ strokes }) => strokes.coveragePercent));
  return pages.flatMap((each): [string, Noticed][] => {
    const noticed = unlike(each, { widthMm, coveragePercent });
    return noticed === undefined ? [] : [[each.page.id, noticed]];
  });
}

function unlike({ page, strokes }: StrokedPage, usual: LineStrokes): Noticed | undefined {
  const limits = page.spec.checks;
  const times = limits.unlikeNeighboursTimes;
  if (times === 0 || usual.widthMm === 0 || usual.coveragePercent === 0) return undefined;
  const width = strokes.widthMm / usual.widthMm;
  const density = strokes.coveragePercent / usual.coveragePercent;
  const [widthOff, densityOff] = [width, density].map((ratio) => Math.max(ratio, 1 / ratio));
  const isOneWay = width > 1 === density > 1;
  const isWidth = widthOff >= times - noise;
  if (!isWidth && !(densityOff >= times - noise && isOneWay && widthOff >= times ** widthPower))
    return undefined;
  const side = width > 1 ? 'wider' : 'thinner';
  const words = isWidth ? `${side} than` : `${density > 1 ? 'denser' : 'sparser'} and ${side} than`;
  const figure = (ratio: number) => figureBeside(ratio, ratio > 1 ? times : 1 / times, 2);
  return {
    code: 'line-unlike-neighbours',
    severity: 'note',
    message: `Its line is far ${words} that of the other pages`,
    measured: `${figure(width)} times as wide and ${figure(density)} times as dense as the median of the issue (${usual.widthMm.toFixed(2)} mm)`,
    limit: `less than ${times} times, or more than one part in ${times}`,
    source: limitSource(limits, 'unlikeNeighboursTimes'),
    remedy: 'Look whether it was scanned at another resolution or threshold than the others.',
  };
}
