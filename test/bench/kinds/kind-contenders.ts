import { readFile, rm, unlink, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { pageSize } from '../bench-job.js';
import {
  type Contender,
  cores,
  floor,
  freshJob,
  hasVips,
  pageNumbers,
  peer,
  platehand,
  platehandOutputs,
  profilePath,
  type Setup,
  scriptOutputs,
  sideBySide,
} from '../contenders.js';
import { withoutChecks } from '../inspection-cost.js';
import { measure } from '../measure.js';
import { isLayered, pageFiles, recipePath } from './page-kind.js';

/** Contenders for pages that are no pairs: platehand first and the floor last. */
export function kindContenders(setup: Setup): Contender[] {
  const vips = hasVips() ? [vipsScript(setup)] : [];
  return [platehand(setup), platehandOnly(setup), ...vips, sharpScript(setup), floor(setup)];
}

/** The name of platehand at the scripts' work. */
export const onlyName = 'platehand, these files only';

/**
 * platehand with what the scripts make: press files, plates and proof; without PDF, and without what job.yaml can turn off
 * (checks, boxes on proofs, plates out of register, support ink, lifting line from pages that are none). What it still does
 * beyond the scripts: holding print against what was painted, the ink limit, thumbnails and views, contact sheet, report.
 */
function platehandOnly(setup: Setup): Contender {
  const folder = 'platehand-only';
  const run = async () => {
    const job = await freshJob(setup.folder, folder);
    await turnOff(join(job, 'job.yaml'));
    return measure(process.execPath, [peer('platehand-only'), job], { allowed: [0, 1] });
  };
  return { name: onlyName, run, outputs: platehandOutputs(setup, folder) };
}

/** The file is a further name of the job's that all share, so it is written anew. */
async function turnOff(path: string): Promise<void> {
  const text = withoutChecks(await readFile(path, 'utf8'));
  const off = '  proofBoxes: false\n  plateShiftMm: 0\n  issuePdf: false\n  support: { enabled: false }\n';
  await unlink(path);
  await writeFile(path, text.replace(/^ {2}press:/m, `${off}  press:`));
}

/** What a script takes of one page. */
function scriptFiles({ folder, kind }: Setup, page: number): string[] {
  const job = join(folder, 'job');
  return [...pageFiles(job, kind, page), ...(isLayered(kind) ? [recipePath(job, page)] : [])];
}

function numbersOf({ issue, proofWidth }: Setup): string[] {
  const { width, height } = pageSize(issue.colourPpi);
  return [width, height, issue.colourPpi, proofWidth].map(String);
}

function vipsScript(setup: Setup): Contender {
  const outFolder = (page: number) => join(setup.folder, 'vips', String(page).padStart(2, '0'));
  const calls = pageNumbers(setup).map((page) => {
    const files = scriptFiles(setup, page);
    return [setup.kind, profilePath, outFolder(page), ...numbersOf(setup), ...files];
  });
  return {
    name: 'vips',
    outputs: scriptOutputs(setup, 'vips'),
    async run() {
      await rm(join(setup.folder, 'vips'), { recursive: true, force: true });
      return measure('bash', ['-c', sideBySide('vips-kinds.sh', calls)]);
    },
  };
}

function sharpScript(setup: Setup): Contender {
  const out = join(setup.folder, 'sharp');
  const pages = pageNumbers(setup).map((page) => scriptFiles(setup, page));
  const frame = [profilePath, out, ...numbersOf(setup), String(cores), String(pages[0].length)];
  return {
    name: 'sharp',
    outputs: scriptOutputs(setup, 'sharp'),
    async run() {
      await rm(out, { recursive: true, force: true });
      return measure(process.execPath, [peer('sharp-kinds'), setup.kind, ...frame, ...pages.flat()]);
    },
  };
}
