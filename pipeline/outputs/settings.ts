import type { Press } from '../../config/press.js';
import { madeOf, standingNotes } from '../model/page-notes.js';
import type { PageRequest } from '../model/page-request.js';

/** A request before it has a key, and before it is known where and what to write. */
export type KeyedRequest = Omit<PageRequest, 'key' | 'productKeys' | 'outFolder' | 'products'>;

/** What of a request and its press each setting is. Fields of the print spec go by their own names. */
export const settings = {
  /** What the working files hold, and which part each is. */
  art: ({ files }) => files.map(({ part, half, picture, sha256 }) => ({ part, half, picture, sha256 })),
  /** Words that make a layer line, lettering or flats. */
  partWords: ({ partWords }) => partWords,
  /** Extra inks that files bring; nothing without any. */
  extraInks: ({ extraInks }) => extraInks,
  profile: (_request, press) => press.sha256,
  inks: ({ page }) => page.spec.inks,
  inkLimit: ({ page }, press) => page.spec.inkLimitPercent ?? press.inkLimitPercent,
  trim: ({ page }) => page.spec.trim,
  bleed: ({ page }) => page.spec.bleedMm,
  safe: ({ page }) => page.spec.safeMm,
  colourPpi: ({ page }) => page.spec.colourPpi,
  linePpi: ({ page }) => page.spec.linePpi,
  proofPpi: ({ page }) => page.spec.proofPpi,
  intent: ({ page }) => page.spec.intent,
  blackPointCompensation: ({ page }) => page.spec.blackPointCompensation,
  proofPaperWhite: ({ page }) => page.spec.proofPaperWhite,
  proofBoxes: ({ page }) => page.spec.proofBoxes,
  untagged: ({ page }) => page.spec.untaggedAs,
  untaggedStated: ({ page }) => page.spec.untaggedStated,
  allowEnlarging: ({ page }) => page.spec.allowEnlarging,
  line: ({ page }) => page.spec.line,
  support: ({ page }) => page.spec.support,
  fidelity: ({ page }) => page.spec.fidelity,
  checks: ({ page }) => page.spec.checks,
  /** Nothing where it is off: its figures change no byte then. */
  inkSaving: ({ page }) => (page.spec.inkSaving.enabled ? page.spec.inkSaving : undefined),
  /** How far plates may lie beside each other, and where that comes from. */
  plateShift: ({ page }, { plateShiftMm, plateShiftSource }) => {
    return page.spec.plateShiftMm ?? { plateShiftMm, plateShiftSource };
  },
  /** How press condition and ink limit are called, and where the limit comes from. */
  condition: ({ page }, { id, title, inkLimitPercent, inkLimitSource }) => {
    return { id, title, inkLimitPercent, inkLimitSource, own: page.spec.inkLimitPercent };
  },
  /** Whether line is laid on its colour. */
  register: ({ page }) => page.register,
  /** What is cleaned off the line; nothing where it is off. */
  clean: ({ page }) => (page.clean === 'specks' ? page.clean : undefined),
  accepted: ({ page }) => page.accepted,
  /** Whether it is a spread, and how it is called. */
  page: ({ page }) => ({ id: page.id, isSpread: page.numbers.length > 1 }),
  units: ({ units }) => units,
  /** How the working files are called, and their versions. */
  fileNames: ({ files }) => files.map(({ name, version, bytes }) => ({ name, version, bytes })),
  /** Parts that have not arrived yet: what is told of the others is not told of a whole page. */
  awaits: ({ awaits }) => awaits,
  /** Editors' notes as they stand: a note that the page answers looks other than one that is open. */
  notes: ({ notes, files }) => notes && standingNotes(notes, madeOf(files)),
  /** How the files that are made are called. */
  baseName: ({ baseName }) => baseName,
  /** How a spread is delivered, and how its single pages are called; nothing for other pages. */
  spreads: ({ page, halfNames }) => {
    const { spreads, foldBleedMm } = page.spec;
    if (page.numbers.length !== 2 || spreads === 'whole') return undefined;
    return { spreads, foldBleedMm, halfNames };
  },
  pdf: ({ page }) => page.spec.pdf,
  marks: ({ page }) => page.spec.marks,
  /** Where the plates' black is to hold the line, at which resolution follows from it. */
  blackPlate: ({ page }) => (page.spec.blackPlate === 'withLine' ? page.spec.blackPlate : undefined),
  issue: ({ issue, title }) => ({ issue, title }),
  scene: ({ scene }) => scene,
} as const satisfies Record<string, (request: KeyedRequest, press: Press) => unknown>;

/** Something that people set, or that their files bring. */
export type Setting = keyof typeof settings;

/** What the inks of a page depend on. */
export const inkSettings = [
  'art',
  'partWords',
  'extraInks',
  'profile',
  'inks',
  'inkLimit',
  'trim',
  'bleed',
  'colourPpi',
  'linePpi',
  'intent',
  'blackPointCompensation',
  'untagged',
  'line',
  'support',
  'inkSaving',
  'register',
  'clean',
] as const satisfies readonly Setting[];

/** What else the findings of a page depend on, and all that a result says besides its files. */
export const findingSettings = [
  ...inkSettings,
  'condition',
  'untaggedStated',
  'allowEnlarging',
  'fidelity',
  'checks',
  'plateShift',
  'accepted',
  'page',
  'units',
  'fileNames',
  'awaits',
] as const satisfies readonly Setting[];
