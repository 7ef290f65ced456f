import { type TypeStyle, textWidth } from './type.js';

/** Long words such as file names break behind these, where they have to break. */
const seams = /(?<=[_\-./\\:,])/u;

/**
 * Breaks a text into lines no wider than a width in pixels, and leaves nothing out: between words, within a word that is wider
 * than a line behind its hyphens, points and the like, and anywhere where there is none of those.
 * @param maxLines a text that needs more says on its last line how many characters follow; default no limit
 * @returns no lines for a text of nothing but blanks
 */
export function wrapWhole(
  text: string,
  maxWidthPx: number,
  style: TypeStyle,
  maxLines = Number.POSITIVE_INFINITY,
): string[] {
  const fits = (line: string) => textWidth(line, style) <= maxWidthPx;
  const lines: string[] = [];
  let line = '';
  const add = (piece: string, gap: string) => {
    const longer = line === '' ? piece : line + gap + piece;
    if (line === '' || fits(longer)) line = longer;
    else {
      lines.push(line);
      line = piece;
    }
  };
  for (const word of text.split(/\s+/u).filter((each) => each !== '')) {
    for (const [at, piece] of piecesOf(word, fits).entries()) add(piece, at === 0 ? ' ' : '');
  }
  if (line !== '') lines.push(line);
  return lines.length > maxLines ? counted(lines, maxLines, fits) : lines;
}

/** A word in pieces that fit on a line: the word itself where it does. */
function piecesOf(word: string, fits: (text: string) => boolean): string[] {
  if (fits(word)) return [word];
  return word.split(seams).flatMap((piece) => (fits(piece) ? [piece] : lettersThatFit(piece, fits)));
}

/** Cuts what has no seam, a mark staying with its letter; a letter that is wider than a line stands on one by itself. */
function lettersThatFit(piece: string, fits: (text: string) => boolean): string[] {
  const out: string[] = [];
  let begun = '';
  for (const letter of piece.match(/\P{M}\p{M}*|\p{M}+/gu) ?? []) {
    if (begun !== '' && !fits(begun + letter)) {
      out.push(begun);
      begun = '';
    }
    begun += letter;
  }
  return begun === '' ? out : [...out, begun];
}

/** The first lines, the last of them giving way to the number of characters that are left out. */
function counted(lines: readonly string[], maxLines: number, fits: (text: string) => boolean): string[] {
  const kept = lines.slice(0, maxLines);
  const after = lines.slice(maxLines).reduce((sum, each) => sum + [...each].length, 0);
  const letters = [...kept[maxLines - 1]];
  for (let count = letters.length; count >= 0; count--) {
    const rest = after + letters.length - count;
    const last = `${letters.slice(0, count).join('').trimEnd()}\u2026 (${rest} more characters)`;
    if (fits(last) || count === 0) return [...kept.slice(0, -1), last];
  }
  return kept;
}
