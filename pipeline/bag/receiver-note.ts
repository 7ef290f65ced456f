import { visible } from '../../config/visible-text.js';
import type { FactSection } from './delivery-news.js';
import type { ReceiverFacts } from './receiver-facts.js';

/** Columns of a line of prose, as plain text is commonly shown. Own choice. */
const columns = 100;

/** What the receiver of a bundle has to know before printing from it, as plain text in data/READ-ME.txt. */
export function receiverNote({ title, delivery, sections, checksums }: ReceiverFacts): string {
  const lines = [title, delivery, '', ...sections.flatMap(sectionLines), ...checksums];
  return `${lines.map(visible).join('\n')}\n`;
}

function sectionLines({ heading, lines, isProse }: FactSection): string[] {
  const head = heading === undefined ? [] : [heading];
  return [...head, ...(isProse === true ? lines.flatMap(broken) : lines), ''];
}

/** A line between words, in lines of which all but the first stand further to the right. */
function broken(line: string): string[] {
  const blanks = ' '.repeat(line.length - line.trimStart().length);
  const lines: string[] = [];
  let current = blanks;
  for (const word of line.trim().split(' ')) {
    const longer = current.trim() === '' ? `${current}${word}` : `${current} ${word}`;
    if (longer.length <= columns || current.trim() === '') current = longer;
    else {
      lines.push(current);
      current = `${blanks}    ${word}`;
    }
  }
  return [...lines, current];
}
