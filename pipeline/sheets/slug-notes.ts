import type { StandingNote } from '../model/page-notes.js';
import { ink } from './drawing.js';
import { pinMark } from './note-pins.js';
import { type Block, paragraph } from './slug-blocks.js';

/** What editors wrote, in the words under a proof: each note behind its pin. */

/** Notes that are written out; the others are counted. More than a page should ever have. Own choice. */
const mostWritten = 20;

export function notesBlock(notes: readonly StandingNote[]): Block[] {
  if (notes.length === 0) return [];
  const written = notes.slice(0, mostWritten).map(noteBlock);
  const left = notes.length - written.length;
  const more = left > 0 ? [paragraph(`and ${left} more notes: platehand status --json lists them`)] : [];
  return [...written, ...more];
}

function noteBlock(note: StandingNote): Block {
  const { name, state, cell, text } = note;
  const where = cell === undefined ? '' : `, ${cell}`;
  return (place) => {
    const { x, y, width, em } = place;
    const indent = 3 * em;
    const words = text === '' ? '(no words)' : text;
    const drawn = paragraph(
      words,
      `${name} ${state}${where}`,
      ink.strong,
    )({ ...place, x: x + indent, width: width - indent });
    const pin = pinMark(note, { x: x + 1.4 * em, y: y - 0.34 * em, em });
    return { ...drawn, shapes: [pin, ...drawn.shapes] };
  };
}
