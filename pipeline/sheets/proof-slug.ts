import type { Severity } from '../model/findings.js';
import { ink, line, text } from './drawing.js';
import { severityMarks } from './marks.js';
import { textWidth, wrapText } from './type.js';

/** What stands under the page, in words. */
export interface ProofSlug {
  /** Issue code as file names carry it. */
  readonly issue: string;
  readonly title: string;
  /** Page id as in the page list. */
  readonly page: string;
  /** `v2`, or `no version`. */
  readonly version: string;
  /** ISO date of the newest working file; never the clock's, so that the same input gives the same bytes. */
  readonly date: string;
  /** Such as `cgats-tr006, ink limit 320 %`. */
  readonly condition: string;
  /** Gravest severity among the page's findings; undefined when there is none. */
  readonly worst: Severity | undefined;
  readonly worstMessage: string | undefined;
  /** How the picture was made, such as `relative colorimetric, paper white not shown`; undefined says nothing. */
  readonly softProofNote: string | undefined;
}

/** Stands on every proof. */
export const proofCaution = [
  'NOT FOR PRINT',
  'Soft proof, not a contract proof; the printer\u2019s own specification decides.',
] as const;

/** Where the slug goes, in pixels of the proof. */
export interface SlugPlace {
  readonly left: number;
  readonly right: number;
  /** Baseline of its first line. */
  readonly top: number;
  /** Height of its text. */
  readonly em: number;
  /** Width of its rule. */
  readonly hair: number;
}

/**
 * Draws the words under the page.
 * @returns the shapes, and the height from the first baseline to the last, which depends on how the lines break
 */
export function drawSlug(slug: ProofSlug, where: SlugPlace): { shapes: string[]; height: number } {
  const { left, right, em } = where;
  const column = { em, width: right - left };
  const shapes = drawHead(slug, where);
  let y = where.top + 2.4 * em;
  for (const block of [drawCondition, drawWorst, drawCaution]) {
    const drawn = block(slug, left, y, column);
    shapes.push(...drawn.shapes);
    y += drawn.lines * leading * em + 0.3 * em;
  }
  return { shapes, height: y - where.top - leading * em };
}

/** Line pitch in heights of the text. */
const leading = 1.4;

function drawHead(slug: ProofSlug, where: SlugPlace): string[] {
  const { left, right, top, em } = where;
  const bold = { sizePx: 1.35 * em, bold: true, fill: ink.strong };
  const code = { sizePx: 1.35 * em, fill: ink.quiet, maxWidthPx: 0.25 * (right - left) };
  const pageWords = /^\d/.test(slug.page) ? `page ${slug.page}` : slug.page;
  const pageWidth = Math.min(textWidth(pageWords, bold), 0.35 * (right - left));
  const titleLeft = left + Math.min(textWidth(slug.issue, code), code.maxWidthPx) + 0.8 * em;
  const titleWidth = right - pageWidth - 2 * em - titleLeft;
  return [
    text(slug.issue, left, top, code),
    text(slug.title, titleLeft, top, { ...bold, maxWidthPx: titleWidth }),
    text(pageWords, right, top, { ...bold, anchor: 'end', maxWidthPx: pageWidth }),
    line(`M${left} ${top + 0.8 * em}H${right}`, { stroke: ink.rule, width: where.hair }),
  ];
}

interface Column {
  readonly em: number;
  readonly width: number;
}

interface Block {
  readonly shapes: string[];
  readonly lines: number;
}

/** The press condition on the left; version and date on the right. */
function drawCondition(slug: ProofSlug, x: number, y: number, column: Column): Block {
  const { em, width } = column;
  const stamp = `${slug.version} \u00b7 ${slug.date}`;
  const stampWidth = Math.min(textWidth(stamp, { sizePx: em }), 0.45 * width);
  const note = slug.softProofNote === undefined ? '' : ` (${slug.softProofNote})`;
  const made = paragraph(`${slug.condition}${note}`, x, y, { em, width: width - stampWidth - 2 * em }, 2);
  const stamped = text(stamp, x + width, y, {
    sizePx: em,
    fill: ink.plain,
    anchor: 'end',
    maxWidthPx: stampWidth,
  });
  return { shapes: [...made, stamped], lines: Math.max(1, made.length) };
}

function paragraph(words: string, x: number, y: number, column: Column, maxLines: number): string[] {
  const look = { sizePx: column.em, fill: ink.plain };
  return wrapText(words, column.width, maxLines, look).map((each, index) =>
    text(each, x, y + index * leading * column.em, look),
  );
}

/** The worst finding: its mark, its word, its message. */
function drawWorst(slug: ProofSlug, x: number, y: number, column: Column): Block {
  const { em } = column;
  const mark = severityMarks[slug.worst ?? 'none'];
  const bold = { sizePx: em, bold: true, fill: mark.colour };
  const wordX = x + 1.4 * em;
  const messageX = wordX + textWidth(mark.word, bold) + 0.9 * em;
  const message = slug.worst === undefined ? '' : (slug.worstMessage ?? '');
  const lines = paragraph(message, messageX, y, { em, width: column.width - (messageX - x) }, 3);
  const shapes = [
    mark.shape(x + 0.5 * em, y - 0.36 * em, 0.95 * em, mark.colour),
    text(mark.word, wordX, y, bold),
  ];
  return { shapes: [...shapes, ...lines], lines: Math.max(1, lines.length) };
}

function drawCaution(_slug: ProofSlug, x: number, y: number, column: Column): Block {
  const { em } = column;
  const bold = { sizePx: em, bold: true, fill: ink.strong };
  const restX = x + textWidth(proofCaution[0], bold) + 0.9 * em;
  const rest = paragraph(proofCaution[1], restX, y, { em, width: column.width - (restX - x) }, 3);
  return { shapes: [text(proofCaution[0], x, y, bold), ...rest], lines: rest.length };
}
