import type { Noticed } from '../model/findings.js';
import { box, fill, ink, text } from './drawing.js';
import { severityMarks } from './marks.js';
import { textWidth } from './type.js';
import { wrapWhole } from './wrap.js';

/** Findings as a list below a picture with numbered boxes: what was found, how much of it, and what to do. */

/** A finding, and which boxes are its own. */
export interface ListedFinding {
  readonly finding: Noticed;
  /** Colour of its boxes. */
  readonly colour: string;
  /** Such as `4 to 9`; empty for one without boxes. */
  readonly numbers: string;
}

/** Where a list goes, in pixels. */
export interface ListPlace {
  readonly left: number;
  readonly right: number;
  /** Baseline of its first line. */
  readonly top: number;
  /** Height of its text. */
  readonly em: number;
}

/** Line pitch and the room between two findings, in heights of the text. */
const leading = 1.4;
const gap = 0.5;

/** What stands where nothing was found. */
const nothing = 'Nothing to put right.';

/** Draws the list; nothing of it is cut off. @returns the shapes, and where the next thing may begin */
export function drawFindingList(
  findings: readonly ListedFinding[],
  where: ListPlace,
): { readonly shapes: string[]; readonly bottom: number } {
  const { left, em } = where;
  if (findings.length === 0) {
    const { shape, colour } = severityMarks.none;
    const mark = shape(left + 0.5 * em, where.top - 0.36 * em, 0.8 * em, colour);
    const words = text(nothing, left + 1.4 * em, where.top, { sizePx: em, bold: true, fill: colour });
    return { shapes: [mark, words], bottom: where.top + leading * em };
  }
  const shapes: string[] = [];
  let y = where.top;
  for (const one of findings) {
    const drawn = drawFinding(one, { ...where, top: y });
    shapes.push(...drawn.shapes);
    y = drawn.bottom + gap * em;
  }
  return { shapes, bottom: y };
}

function drawFinding({ finding, colour, numbers }: ListedFinding, { left, right, top, em }: ListPlace) {
  const mark = severityMarks[finding.severity];
  const bold = { sizePx: em, bold: true, fill: ink.strong };
  const plain = { sizePx: em, fill: ink.plain };
  const indent = left + 1.4 * em;
  const room = right - indent;
  const measured = [finding.measured, finding.limit && `wanted: ${finding.limit}`].filter(
    (each) => each !== undefined,
  );
  const lines = [
    ...wrapWhole(finding.message, room, bold).map((words) => ({ words, look: bold })),
    ...wrapWhole(measured.join('; '), room, plain).map((words) => ({ words, look: plain })),
    ...wrapWhole(finding.remedy, room, plain).map((words) => ({ words, look: plain })),
  ];
  const shapes = lines.map(({ words, look }, at) => text(words, indent, top + at * leading * em, look));
  shapes.push(mark.shape(left + 0.5 * em, top - 0.36 * em, 0.8 * em, mark.colour));
  let bottom = top + lines.length * leading * em;
  if (numbers !== '') {
    const look = { sizePx: 0.85 * em, bold: true, fill: '#ffffff' };
    const width = textWidth(numbers, look) + 0.6 * em;
    shapes.push(fill(box(indent, bottom - em, width, 1.2 * em), colour));
    shapes.push(text(numbers, indent + 0.3 * em, bottom - 0.12 * em, look));
    bottom += leading * em;
  }
  return { shapes, bottom };
}
