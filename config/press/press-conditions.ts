import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { packageRoot } from '../package-root.js';

/** Names of the press conditions that ship with platehand, each called after its characterization data set. */
export const shippedPressNames = [
  'cgats-tr002',
  'cgats-tr003',
  'cgats-tr005',
  'cgats-tr006',
  'fogra39l',
  'fogra29l',
  'fogra30l',
] as const;

/** One of the shipped names. */
export type ShippedPressName = (typeof shippedPressNames)[number];

/**
 * The press conditions that ship with platehand. Each is a published characterization data set and the ICC profile
 * that config/build-profiles.sh made from it. Ink limits are suggestions: the printer's own specification decides.
 */
export interface CatalogueEntry {
  /** As job.yaml names it. */
  readonly name: ShippedPressName;
  /** What people call the process. */
  readonly title: string;
  /** The characterization data set, which must be named as the source of the profile. */
  readonly dataSet: string;
  /** The data set's name in the registry of characterization data, registry.color.org (its list of CMYK data). */
  readonly registeredName: string;
  /** Where the data came from. */
  readonly source: string;
  /** The paper that the data was printed on. */
  readonly paper: string;
  /** File in config/profiles/. */
  readonly profileFile: string;
  /** Suggested limit of C+M+Y+K in percent, 0 to 400. */
  readonly inkLimitPercent: number;
  /** Where that limit comes from, and how sure it is, in plain words: printers read them. Addresses stand beside, as comments. */
  readonly inkLimitSource: string;
  /** How far two plates may lie beside each other on press, in millimetres. */
  readonly plateShiftMm: number;
  /** Where that comes from, and how sure it is, in plain words. */
  readonly plateShiftSource: string;
  /** Mean CIEDE2000 of the profile against the patches of its data set, from config/profiles/accuracy.json. */
  readonly meanDe00: number;
  /** The largest of the same differences. */
  readonly maxDe00: number;
}

/** What profile-report.ts measured of one profile. */
export interface Accuracy {
  /** SHA-256 of the profile file, in hex. */
  readonly sha256: string;
  /** How many patches the data set has. */
  readonly patches: number;
  /** Mean CIEDE2000 between a patch as measured and as the profile shows it. */
  readonly meanDe00: number;
  /** The largest of these differences. */
  readonly maxDe00: number;
}

type Described = Omit<CatalogueEntry, 'name' | 'profileFile' | 'meanDe00' | 'maxDe00'>;

/**
 * Sheet-fed offset keeps any two colours within 0.10 mm: second-hand, packagingdesignacademy.com module 14 and ukugi.com, which name
 * ISO 12647-2:2013. Also what is taken where nothing is known of the press.
 */
export const sheetFedShift = {
  plateShiftMm: 0.1,
  plateShiftSource: 'usual for sheet-fed offset, second-hand and not confirmed',
} as const;

/** A web moves more than a sheet. */
const webShift = { plateShiftMm: 0.15, plateShiftSource: 'common practice, no published source' } as const;

/** Newsprint stretches as it takes up water. From memory: 0.15 to 0.2 mm in ISO 12647-3. */
const coldsetShift = { plateShiftMm: 0.2, plateShiftSource: 'common practice, no published source' } as const;

const debian = "as packed in Debian's icc-profiles-free 2.0.1";

const described: Readonly<Record<ShippedPressName, Described>> = {
  'cgats-tr002': {
    title: 'Newsprint, coldset offset',
    dataSet: 'ANSI/CGATS/SNAP TR 002-2007',
    registeredName: 'CGATS TR 002',
    source: `characterization data of ANSI/CGATS/SNAP TR 002-2007, ${debian}`,
    paper: 'newsprint',
    inkLimitPercent: 240,
    // Second-hand: paperzz.com document 6776866, on a newspaper condition after ISO 12647-3.
    inkLimitSource: 'common for newsprint, second-hand and not confirmed; single papers ask for 200 to 220 %',
    ...coldsetShift,
  },
  'cgats-tr003': {
    title: 'Coated, web offset, grade 3',
    dataSet: 'ANSI/CGATS/SWOP TR 003-2007',
    registeredName: 'CGATS TR 003',
    source: `characterization data of ANSI/CGATS/SWOP TR 003-2007, ${debian}`,
    paper: 'coated, grade 3',
    inkLimitPercent: 300,
    // Second-hand: mechanical specifications of magazines, lww.com and bakingbusiness.com.
    inkLimitSource: 'what magazines printed in web offset ask for, second-hand and not confirmed',
    ...webShift,
  },
  'cgats-tr005': {
    title: 'Coated, web offset, grade 5',
    dataSet: 'ANSI/CGATS/SWOP TR 005-2007',
    registeredName: 'CGATS TR 005',
    source: `characterization data of ANSI/CGATS/SWOP TR 005-2007, ${debian}`,
    paper: 'coated, grade 5',
    inkLimitPercent: 300,
    // Second-hand: mechanical specifications of magazines, lww.com and bakingbusiness.com.
    inkLimitSource: 'what magazines printed in web offset ask for, second-hand and not confirmed',
    ...webShift,
  },
  'cgats-tr006': {
    title: 'Coated, sheet-fed offset',
    dataSet: 'ANSI/CGATS/GRACoL TR 006-2007',
    registeredName: 'CGATS TR 006',
    source: `characterization data of ANSI/CGATS/GRACoL TR 006-2007, ${debian}`,
    paper: 'coated, grade 1 (paper type 1 of ISO 12647-2)',
    inkLimitPercent: 320,
    // Second-hand: printindustry.com, newsletter 247, as an example.
    inkLimitSource: 'an example for coated sheet-fed work, second-hand and not confirmed',
    ...sheetFedShift,
  },
  fogra29l: {
    title: 'Uncoated white, offset',
    dataSet: 'FOGRA29L',
    registeredName: 'FOGRA29',
    source: `characterization data FOGRA29L of September 2003, ${debian}`,
    paper: 'uncoated, white (paper type 4 of ISO 12647-2:2004)',
    inkLimitPercent: 300,
    inkLimitSource: 'usual for uncoated offset, from memory and not confirmed',
    ...sheetFedShift,
  },
  fogra30l: {
    title: 'Uncoated yellowish, offset',
    dataSet: 'FOGRA30L',
    registeredName: 'FOGRA30',
    source: `characterization data FOGRA30L of September 2003, ${debian}`,
    paper: 'uncoated, slightly yellowish (paper type 5 of ISO 12647-2:2004)',
    inkLimitPercent: 300,
    inkLimitSource: 'usual for uncoated offset, from memory and not confirmed',
    ...sheetFedShift,
  },
  fogra39l: {
    title: 'Coated offset',
    dataSet: 'FOGRA39L',
    registeredName: 'FOGRA39',
    source: `characterization data FOGRA39L of December 2006, ${debian}`,
    paper: 'coated art (paper type 1 or 2 of ISO 12647-2:2004)',
    inkLimitPercent: 300,
    // The figure in the name of a widely used profile of this data set, ISOcoated_v2_300_eci.
    inkLimitSource: 'the limit for which profiles of this data set are commonly made',
    ...sheetFedShift,
  },
};

/** The shipped press conditions, in the order of their names. */
export function pressCatalogue(): readonly CatalogueEntry[] {
  const accuracies = shippedAccuracies();
  return shippedPressNames.map((name) => {
    const accuracy = accuracies[name];
    if (accuracy === undefined) throw new Error(`config/profiles/accuracy.json does not know ${name}`);
    const { meanDe00, maxDe00 } = accuracy;
    return { name, profileFile: `${name}.icc`, ...described[name], meanDe00, maxDe00 };
  });
}

/** What was measured of each shipped profile, by name of its press condition. */
export function shippedAccuracies(): Readonly<Partial<Record<string, Accuracy>>> {
  return JSON.parse(readFileSync(join(profilesFolder(), 'accuracy.json'), 'utf8'));
}

/** The folder of the shipped profiles. */
export function profilesFolder(): string {
  return join(packageRoot(), 'config', 'profiles');
}
