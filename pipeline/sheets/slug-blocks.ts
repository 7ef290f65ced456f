import { ink, text } from './drawing.js';
import { textWidth } from './type.js';
import { wrapWhole } from './wrap.js';

/** What the words under a proof are set of. */

/** Line pitch in heights of the text. */
export const leading = 1.4;

/** Lines of one text, so that no proof is made of words; what does not fit is counted. Own choice. */
export const mostLines = 24;

/** Where a block stands: its first baseline, and the room to its right. */
export interface Place {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly em: number;
}

export interface Drawn {
  readonly shapes: string[];
  readonly lines: number;
}

/** Draws something from a place on downwards. */
export type Block = (place: Place) => Drawn;

/**
 * Running text, its first words bold if there are any.
 * @param leads first words of paragraphs that it stands in line with
 */
export function paragraph(
  words: string,
  lead = '',
  fill: string = ink.plain,
  leads: readonly string[] = [lead],
): Block {
  return ({ x, y, width, em }) => {
    const bold = { sizePx: em, bold: true, fill };
    const look = { sizePx: em, fill: ink.plain };
    const indent = lead === '' ? 0 : Math.max(...leads.map((each) => textWidth(each, bold))) + 0.9 * em;
    const lines = wrapWhole(words, width - indent, look, mostLines);
    const shapes = lines.map((each, i) => text(each, x + indent, y + i * leading * em, look));
    return {
      shapes: [text(lead, x, y, bold), ...shapes],
      lines: Math.max(lead === '' ? 0 : 1, lines.length),
    };
  };
}
