import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { ciede2000, type Lab } from './ciede2000.js';
import { exactTransform, loadProfile } from './colour-engine.js';
import {
  type Accuracy,
  profilesFolder,
  type ShippedPressName,
  shippedPressNames,
} from './press-conditions.js';

/**
 * Measures each shipped profile against the characterization data it was made from, and writes
 * config/profiles/accuracy.json. A builder's tool, run by `npm run profiles` after the profiles are built; it needs the
 * .ti3 files of Debian's icc-profiles-free (in /usr/share/color/icc, or the folder that PLATEHAND_DATA names).
 */

/** The data set that a condition is called after, as Debian's package has it: `TR006.ti3`, `FOGRA39L.ti3`. */
function dataFileOf(name: ShippedPressName): string {
  return `${name.replace('cgats-', '').toUpperCase()}.ti3`;
}

/** One printed patch of a data set. */
interface Patch {
  /** Cyan, magenta, yellow, black from 0 to 1. */
  readonly ink: number[];
  /** As it was measured, relative to D50. */
  readonly lab: Lab;
}

/** The patches of a CGATS data file that has CMYK in percent and Lab. */
export function parseData(text: string): Patch[] {
  const lines = text.split(/\r?\n/).map((line) => line.trim());
  const fields = (lines[lines.indexOf('BEGIN_DATA_FORMAT') + 1] ?? '').split(/\s+/);
  const rows = lines
    .slice(lines.indexOf('BEGIN_DATA') + 1, lines.indexOf('END_DATA'))
    .filter((line) => line !== '');
  const column = (name: string) => fields.findIndex((field) => field.toUpperCase() === name);
  const ink = ['CMYK_C', 'CMYK_M', 'CMYK_Y', 'CMYK_K'].map(column);
  const lab = ['LAB_L', 'LAB_A', 'LAB_B'].map(column);
  return rows.map((row) => {
    const values = row.split(/\s+/).map(Number);
    const at = (index: number) => values[index] ?? Number.NaN;
    return {
      ink: ink.map((index) => at(index) / 100),
      lab: [at(lab[0] ?? -1), at(lab[1] ?? -1), at(lab[2] ?? -1)],
    };
  });
}

/** CIEDE2000 between what the profile says of each patch (absolute colorimetric) and what was measured. */
function measure(profile: Uint8Array, patches: readonly Patch[]): Accuracy {
  const toLab = exactTransform({
    from: loadProfile(profile),
    to: 'lab',
    intent: 'absolute',
    blackPointCompensation: false,
  });
  let [total, most] = [0, 0];
  for (const patch of patches) {
    const [l = 0, a = 0, b = 0] = toLab(patch.ink);
    const difference = ciede2000([l * 100, a * 255 - 128, b * 255 - 128], patch.lab);
    total += difference;
    most = Math.max(most, difference);
  }
  const round = (value: number) => Number(value.toFixed(3));
  return {
    sha256: createHash('sha256').update(profile).digest('hex'),
    patches: patches.length,
    meanDe00: round(total / patches.length),
    maxDe00: round(most),
  };
}

/**
 * Measures all shipped profiles; prints one line each, as the table of config/profiles/README.md has them.
 * @param dataFolder where the .ti3 files of the data sets lie
 */
export function report(dataFolder: string): Readonly<Record<string, Accuracy>> {
  const accuracies: Record<string, Accuracy> = {};
  for (const name of shippedPressNames) {
    const patches = parseData(readFileSync(join(dataFolder, dataFileOf(name)), 'latin1'));
    const accuracy = measure(readFileSync(join(profilesFolder(), `${name}.icc`)), patches);
    accuracies[name] = accuracy;
    console.log(`| ${name} | ${accuracy.patches} | ${accuracy.meanDe00} | ${accuracy.maxDe00} |`);
  }
  return accuracies;
}

if (process.argv[1]?.endsWith('profile-report.js')) {
  const accuracies = report(process.env.PLATEHAND_DATA ?? '/usr/share/color/icc');
  writeFileSync(join(profilesFolder(), 'accuracy.json'), `${JSON.stringify(accuracies, null, 2)}\n`);
}
