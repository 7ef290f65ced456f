import { type Finding, type Severity, severities, worstFirst } from '../model/findings.js';
import type { StandingNote } from '../model/page-notes.js';
import { ink, line, text } from './drawing.js';
import { severityMarks } from './marks.js';
import { type Block, leading, mostLines, paragraph } from './slug-blocks.js';
import { notesBlock } from './slug-notes.js';
import { textWidth } from './type.js';
import { wrapWhole } from './wrap.js';

/** What is told of a finding on a proof. */
export type SlugFinding = Pick<Finding, 'severity' | 'message' | 'measured' | 'accepted' | 'places'>;

/** A working file that the page was made from. */
export interface SlugFile {
  /** What it brings: `colour`, `line`, `lettering`, or `whole` for all of the page. */
  readonly part: string;
  /** The number that its name states; undefined where it states none. */
  readonly version: number | undefined;
  /** Relative to incoming/. */
  readonly name: string;
}

/** What stands under the page, in words. */
export interface ProofSlug {
  /** Issue code as file names carry it. */
  readonly issue: string;
  readonly title: string;
  /** Page id as in the page list. */
  readonly page: string;
  /** Two pages side by side. */
  readonly isSpread: boolean;
  /** Title of its scene; undefined for a page in none. */
  readonly scene: string | undefined;
  /** What it was made from, part by part. */
  readonly files: readonly SlugFile[];
  /** Parts that have not arrived, while the others are looked at; default none. */
  readonly awaits?: readonly string[] | undefined;
  /** The latest day that these files state; undefined, and nothing drawn, where none states one. Never the clock's or the file system's. */
  readonly date: string | undefined;
  /** Such as `cgats-tr006, ink limit 320 %`. */
  readonly condition: string;
  /** All of the page's findings, in any order. */
  readonly findings: readonly SlugFinding[];
  /** What editors wrote about it and nobody has closed; default nothing. */
  readonly notes?: readonly StandingNote[] | undefined;
  /** How the picture was made, such as `relative colorimetric, paper white not shown`; undefined says nothing. */
  readonly softProofNote: string | undefined;
}

/** Stands on every proof. */
export const proofCaution = [
  'NOT FOR PRINT',
  'Soft proof, not a contract proof; the printer\u2019s own specification decides.',
] as const;

/** Findings that are written out, the gravest first; the others are counted. More than a page should ever have. Own choice. */
const mostWritten = 14;

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

/** Room between two blocks, in heights of the text. */
const gap = 0.3;

/**
 * Draws the words under the page. Nothing of them is cut off: what is wider than the column goes on below.
 * @returns the shapes, and the height from the first baseline to the last, which depends on how the lines break
 */
export function drawSlug(slug: ProofSlug, where: SlugPlace): { shapes: string[]; height: number } {
  const { left, right, em } = where;
  const head = drawHead(slug, where);
  const shapes = [...head.shapes];
  let y = where.top + head.height;
  const column = { x: left, width: right - left, em };
  const blocks = [
    ...[sceneBlock, filesBlock, conditionBlock, countsBlock, findingsBlock],
    ({ notes }: ProofSlug) => notesBlock(notes ?? []),
    cautionBlock,
  ];
  for (const block of blocks) {
    const parts = block(slug);
    for (const draw of parts) {
      const drawn = draw({ ...column, y });
      shapes.push(...drawn.shapes);
      y += drawn.lines * leading * em;
    }
    if (parts.length > 0) y += gap * em;
  }
  return { shapes, height: y - where.top - (leading + gap) * em };
}

/** Code and title on the left, the page on the right, each on as many lines as it takes; a rule below. */
function drawHead(slug: ProofSlug, where: SlugPlace): { shapes: string[]; height: number } {
  const { left, right, top, em } = where;
  const bold = { sizePx: 1.35 * em, bold: true, fill: ink.strong };
  const code = { sizePx: 1.35 * em, fill: ink.quiet };
  const pitch = leading * 1.35 * em;
  const width = right - left;
  const pageLines = wrapWhole(pageWords(slug), 0.35 * width, bold);
  const pageWidth = Math.max(...pageLines.map((each) => textWidth(each, bold)));
  const codeLines = wrapWhole(slug.issue, 0.3 * width, code);
  const titleLeft = left + Math.max(...codeLines.map((each) => textWidth(each, code))) + 0.8 * em;
  const titleLines = wrapWhole(slug.title, right - pageWidth - 2 * em - titleLeft, bold, mostLines);
  const lines = Math.max(pageLines.length, codeLines.length, titleLines.length);
  const last = (lines - 1) * pitch;
  const shapes = [
    ...codeLines.map((each, i) => text(each, left, top + i * pitch, code)),
    ...titleLines.map((each, i) => text(each, titleLeft, top + i * pitch, bold)),
    ...pageLines.map((each, i) => text(each, right, top + i * pitch, { ...bold, anchor: 'end' })),
    line(`M${left} ${top + last + 0.8 * em}H${right}`, { stroke: ink.rule, width: where.hair }),
  ];
  return { shapes, height: last + 2.4 * em };
}

function pageWords({ page, isSpread }: ProofSlug): string {
  if (!/^\d/.test(page)) return page;
  return isSpread ? `pages ${page}` : `page ${page}`;
}

function sceneBlock({ scene }: ProofSlug): Block[] {
  return scene === undefined ? [] : [paragraph(scene, 'Scene')];
}

/** Each file's part and version, its name beside it, and the day that they state. */
function filesBlock({ files, date, awaits = [] }: ProofSlug): Block[] {
  const leads = [...files.map(leadOf), ...awaits];
  const rows = [
    ...files.map((file) => paragraph(file.name, leadOf(file), ink.plain, leads)),
    ...awaits.map((part) =>
      paragraph('not here yet; nothing is made for print before', part, ink.plain, leads),
    ),
  ];
  const where = files.length === 1 ? 'in its file' : 'in its files';
  return date === undefined ? rows : [...rows, paragraph(`dated ${date} ${where}`)];
}

function leadOf({ part, version }: SlugFile): string {
  if (version === undefined) return part === 'whole' ? 'no version' : `${part}, no version`;
  return part === 'whole' ? `v${version}` : `${part} v${version}`;
}

function conditionBlock({ condition, softProofNote }: ProofSlug): Block[] {
  return [paragraph(softProofNote === undefined ? condition : `${condition} (${softProofNote})`)];
}

function cautionBlock(): Block[] {
  return [paragraph(proofCaution[1], proofCaution[0], ink.strong)];
}

const gravestFirst = [...severities].reverse();

/** How many stops, warnings and notes there are, on one line where they fit. */
function countsBlock({ findings }: ProofSlug): Block[] {
  const counts = countsOf(findings);
  const entries =
    counts.length > 0 ? counts : [{ severity: 'none' as const, words: severityMarks.none.word }];
  return [
    ({ x, y, width, em }) => {
      const shapes: string[] = [];
      let [pen, row] = [x, 0];
      for (const { severity, words } of entries) {
        const { shape, colour } = severityMarks[severity];
        const bold = { sizePx: em, bold: true, fill: colour };
        const room = 1.4 * em + textWidth(words, bold);
        if (pen > x && pen + room > x + width) [pen, row] = [x, row + 1];
        const baseline = y + row * leading * em;
        shapes.push(shape(pen + 0.5 * em, baseline - 0.36 * em, 0.95 * em, colour));
        shapes.push(text(words, pen + 1.4 * em, baseline, bold));
        pen += room + 1.8 * em;
      }
      return { shapes, lines: row + 1 };
    },
  ];
}

function countsOf(findings: readonly SlugFinding[]): { severity: Severity; words: string }[] {
  return gravestFirst.flatMap((severity) => {
    const count = findings.filter((each) => each.severity === severity).length;
    const word = severityMarks[severity].word.toLowerCase();
    return count === 0 ? [] : [{ severity, words: `${count} ${word}${count === 1 ? '' : 's'}` }];
  });
}

/** The findings themselves, each behind its mark; how many there are beyond those. */
function findingsBlock({ findings }: ProofSlug): Block[] {
  const ordered = worstFirst(findings);
  const written = ordered.slice(0, mostWritten).map((finding, index) => findingBlock(finding, index + 1));
  const rest = countsOf(ordered.slice(mostWritten)).map(({ words }) => words);
  if (rest.length === 0) return written;
  return [...written, paragraph(`and ${rest.join(' and ')} more: platehand status --json lists them`)];
}

function findingBlock({ severity, message, measured, accepted, places }: SlugFinding, number: number): Block {
  const { shape, colour } = severityMarks[severity];
  const reason = accepted === undefined ? undefined : `accepted: ${accepted}`;
  const details = [measured, boxedWords(places), reason].filter((each) => each !== undefined).join('; ');
  const words = details === '' ? message : `${message} (${details})`;
  return (place) => {
    const { x, y, width, em } = place;
    const indent = 3 * em;
    const drawn = paragraph(words)({ ...place, x: x + indent, width: width - indent });
    const mark = shape(x + 0.5 * em, y - 0.36 * em, 0.8 * em, colour);
    const look = { sizePx: em, bold: true, fill: colour, anchor: 'end' } as const;
    const label = text(String(number), x + 2.6 * em, y, look);
    return { ...drawn, shapes: [mark, label, ...drawn.shapes] };
  };
}

/** How many of its places are boxed, where that is not all of them. */
function boxedWords(places: SlugFinding['places']): string | undefined {
  if (places === undefined || places.inAll <= places.shown.length) return undefined;
  return `${places.shown.length} of ${places.inAll} places boxed`;
}
