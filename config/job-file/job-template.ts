import { stringify } from 'yaml';
import { limitRows } from '../check-limits/index.js';
import { shippedPressNames } from '../press/press-conditions.js';
import { deliveryDefaults } from './delivery-naming.js';
import { printDefaults as defaults } from './print-defaults.js';

/** What `platehand new` may be told; the rest is a placeholder to be edited. */
export interface NewJob {
  /** Issue code as file names carry it, such as `TDL03`; default `ABC01`. */
  readonly issue?: string | undefined;
  /** Title of the issue, one line; default `Untitled`. */
  readonly title?: string | undefined;
  /** How many interior pages the issue has, 1 or more; default 22. */
  readonly pages?: number | undefined;
}

/**
 * The text of a commented job.yaml. A line that starts with `#` and one space is explanation; any other `#` turns a
 * setting off. Print settings stand there at their defaults: taking their `#` away changes nothing until they are edited.
 */
export function jobTemplate(job: NewJob = {}): string {
  return [
    ...headLines(job),
    ...printLines(),
    ...inkLines(),
    ...pageLines(job.pages ?? 22),
    ...otherLines(),
    '',
  ].join('\n');
}

/** Setting first, explanation after it in one column. */
function explained(setting: string, explanation: string): string {
  return `${setting.padEnd(42)} # ${explanation}`;
}

function headLines(job: NewJob): string[] {
  const quoted = (text: string) => stringify(text, { lineWidth: 0 }).trim();
  return [
    '# What platehand is to make of one issue. Lines that begin with # are off; take the # away to use them.',
    "# The printer's own specification decides: ask for it, and copy its figures here.",
    '',
    explained(`issue: ${quoted(job.issue ?? 'ABC01')}`, 'issue code as file names carry it'),
    explained(`title: ${quoted(job.title ?? 'Untitled')}`, 'for proofs and the contact sheet'),
    explained('#number: 1', 'number of the issue'),
    explained('#due: 2026-12-04T17:00:00+01:00', 'date, T, time and zone'),
    explained('units: in', 'in or mm, for all lengths in this file'),
    '',
  ];
}

function printLines(): string[] {
  return [
    'print:',
    explained('  trim: [6.625, 10.25]', 'width, height of one cut page'),
    explained('  bleed: 0.125', 'how far art extends past the cut'),
    explained('  safe: 0.25', 'inner margin that keeps lettering from the cut'),
    explained('  press: cgats-tr006', "or a path to the printer's ICC profile: ./paper.icc"),
    `  # Shipped press conditions: ${shippedPressNames.join(', ')}.`,
    explained(`  #inks: [${defaults.inks.join(', ')}]`, 'or [black], most useful in a kind'),
    explained('  #inkLimit: 300', 'percent; off: what the press condition suggests'),
    explained(
      `  #inkLimitConfirmed: ${defaults.inkLimitConfirmed}`,
      'true once the printer has confirmed it',
    ),
    explained(`  #colourPpi: ${defaults.colourPpi}`, 'pixels per inch of the colour'),
    explained(`  #linePpi: ${defaults.linePpi}`, 'pixels per inch of the line plate, at least colourPpi'),
    explained(`  #proofPpi: ${defaults.proofPpi}`, 'pixels per inch of proofs'),
    explained(`  #intent: ${defaults.intent}`, 'perceptual, relative, saturation, absolute'),
    explained('  #blackPointCompensation: true', 'with the relative intent only'),
    explained(`  #proofPaperWhite: ${defaults.proofPaperWhite}`, 'proofs show the colour of the paper'),
    explained(`  #proofBoxes: ${defaults.proofBoxes}`, 'findings as boxes, notes as pins on proofs'),
    explained(`  #untagged: ${defaults.untagged}`, 'what colour without a profile is taken as'),
    explained(`  #spreads: ${defaults.spreads}`, 'whole, split into two single pages, or both'),
    explained('  #foldBleed: 0.125', 'of split spreads, at the fold; off: the bleed'),
    explained(`  #pdf: ${defaults.pdf}`, 'PDF/X-4, or x-1a for PDF/X-1a'),
    explained(`  #marks: ${defaults.marks}`, 'trim and register marks outside the bleed of PDF pages'),
    explained(`  #blackPlate: ${defaults.blackPlate}`, 'or withLine: plates complete by themselves'),
    explained(`  #allowEnlarging: ${defaults.allowEnlarging}`, 'enlarge pages painted too small'),
    explained(`  #issuePdf: ${defaults.issuePdf}`, 'one PDF of all pages as well'),
    explained(`  #naming: "${defaults.naming}"`, 'also {number} {kind} {scene}'),
  ];
}

function inkLines(): string[] {
  const { line, support, fidelity, inkSaving } = defaults;
  return [
    '  # How black line art is told from colour, in percent.',
    '  #line:',
    explained(`  #  threshold: ${line.threshold}`, 'ink coverage from which a pixel is ink'),
    explained(
      `  #  blackLevel: ${line.blackLevel}`,
      'a line brighter than this is a hold, printed in colour',
    ),
    explained(`  #  blackChroma: ${line.blackChroma}`, 'a line more coloured than this is a hold too'),
    explained(`  #  lift: ${line.lift}`, 'lift ink (never paint) from flat pages'),
    explained(`  #  liftLevel: ${line.liftLevel}`, 'how bright ink may be on such a page'),
    '  # Ink beneath large solid blacks, so that they print deep.',
    '  #support:',
    `  #  enabled: ${support.enabled}`,
    explained(`  #  ink: [${support.ink.join(', ')}]`, 'cyan, magenta, yellow in percent'),
    `  # choke (default ${support.chokeMm} mm) keeps it off the edge of the black; blacks narrower than minWidth (default`,
    `  # ${support.minWidthMm} mm) get none. Both are lengths in the unit of this file.`,
    '  # How far print may be from the page as painted, beside black line, in CIEDE2000.',
    '  #fidelity:',
    explained(`  #  warn: ${fidelity.warn}`, 'more than this on 0.1 % of it asks for a look'),
    explained(`  #  stop: ${fidelity.stop}`, 'more than this on 0.1 % of it stops the page'),
    explained(`  #  edge: ${fidelity.edge}`, 'a larger step that nobody painted is told'),
    '  # What is noticed on a page is held against these; 0 leaves a check out. Meanings and sources: job.schema.json.',
    '  #checks:',
    ...limitRows.map(([name, row]) => explained(`  #  ${name}: ${row.default}`, row.unit)),
    '  # Black instead of the grey of cyan, magenta and yellow; how far colours and light skin may move, in CIEDE2000.',
    '  #inkSaving:',
    explained(`  #  enabled: ${inkSaving.enabled}`, 'ask the printer first'),
    explained(`  #  most: ${inkSaving.most}`, 'any colour'),
    explained(`  #  skin: ${inkSaving.skin}`, 'light skin tones'),
    explained(`  #  skinBlack: ${inkSaving.skinBlack}`, 'percent of black that light skin may gain'),
    explained('  #plateShiftMm: 0.1', "millimetres; off: the press condition's figure; 0: not simulated"),
    '',
    '# Settings for a kind of page: any print key but naming and issuePdf. Covers often go on another paper.',
    '#kinds:',
    '#  cover: { press: fogra39l, inkLimit: 320 }',
    '#  interior: { inks: [black] }             # pages in black ink alone',
    '',
  ];
}

function pageLines(pages: number): string[] {
  // Page 1 is a right-hand page, so the left half of a spread has an even number.
  const left = pages + 2 - (pages % 2);
  return [
    '# Scenes, for the contact sheet. A page names its scene with scene: and the id.',
    '#scenes:',
    '#  - { id: harbour, title: "Harbour, noon" }',
    '#  - { id: memory, setOff: true }            # a flashback: its colours are to set it off',
    '',
    '# Every page that the issue owes, in reading order: page, pages (a range) or spread (two pages, one picture).',
    '# A file of a cover that is not in the list stays out: take the # away from every cover that this issue owes.',
    'pages:',
    '  - page: cover',
    '  #- page: inside-front-cover',
    `  - ${pages === 1 ? 'page: 1' : `pages: 1-${pages}`}`,
    '  #- page: inside-back-cover',
    '  #- page: back-cover',
    '  # More that an entry can say:',
    `  #- spread: ${left}-${left + 1}`,
    '  #  kind: interior                        # or cover, or a kind from kinds',
    '  #  aliases: [centrefold]                 # other names in file names',
    '  #  needs: [colour, line]                 # parts without which it is not complete',
    '  #  print: { allowEnlarging: true }       # print settings for this page alone',
    '  #  register: { line: auto }              # move line that lies beside its colour into place',
    '  #  clean: specks                         # remove dust from its line; what was removed is told and shown',
    '  #  accept: { colour-ppi-low: "editor agreed" }   # findings you accept, with the reason',
    '',
  ];
}

function otherLines(): string[] {
  return [
    '# Inks beside the process inks, each from a file with its word, such as p07_varnish.tif. shownAs: on proofs, CMYK in percent.',
    '#extraInks: [{ id: varnish, name: Gloss Varnish, shownAs: [12, 0, 0, 8], bits: 8, overprints: true, inTotal: true }]',
    '',
    '# Colours that keep through the issue: shown as they print, and looked for on the pages. In quotes, for a # begins a comment.',
    '#swatches:',
    '#  - { name: coat, character: Mara, srgb: "#c89070" }',
    '#  - { name: lamp, lab: [82.5, 4, 61], toleranceDe: 3 }   # CIE L*a*b* (D50); CIEDE2000, off: 5',
    '',
    '# Pages held back, with the reason.',
    '#held:',
    '#  - { page: cover, reason: waiting for the advertisement }',
    '',
    '# Files whose names say too little, relative to incoming/.',
    '#names:',
    '#  "final FINAL (3).tif": { page: 1, part: colour }   # part: colour, line, lettering, flats, whole',
    '#  "two pictures.tif": { page: 1, part: line, picture: 2 }',
    '#  "notes.png": ignore',
    '',
    '# Deliveries are numbered from 1 on, and dated.',
    '#delivery:',
    explained(`#  files: [${deliveryDefaults.files.join(', ')}]`, 'which go out; also plates'),
    explained(`#  naming: "${deliveryDefaults.naming}"`, 'also {number}, of the issue; without .zip'),
    explained('#  timeZone: Europe/Vienna', 'whose day it is; off: the zone of due'),
    explained('#  needs: accepted', 'by the editor, with all notes closed; off: nothing'),
    '',
    '# More words in file and layer names that tell a part, beside the usual ones of ten languages.',
    '#parts:',
    '#  line: [federzug]',
    '',
    "# Further codes that count as this issue's. A file with any other code or number stays out.",
    '#codes: [QLM03]',
    '',
    '# Letters that tell a part behind a page number, as in p007c. Off: 7c is a page of its own.',
    '#letters: { c: colour, k: line, l: lettering }',
    '',
    "# Words in file names that mean nothing, such as an artist's name. Any other word that nobody knows keeps a file",
    '# from being taken for a whole page.',
    '#ignoreWords: [moreau]',
  ];
}
