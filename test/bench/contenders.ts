import { execFileSync } from 'node:child_process';
import { link, mkdir, readdir, rm } from 'node:fs/promises';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { packageRoot, programPath } from '../../config/package-root.js';
import { type BenchIssue, benchPress, pageSize, partPaths } from './bench-job.js';
import { type PageKind, pageFiles } from './kinds/page-kind.js';
import { type Measured, measure } from './measure.js';

/** Everything that the contenders share: where the pages are and what is to become of them. */
export interface Setup {
  readonly folder: string;
  readonly issue: BenchIssue;
  readonly kind: PageKind;
  /** Width of the proof's page picture in pixels. */
  readonly proofWidth: number;
}

export interface Contender {
  readonly name: string;
  /** One run over all pages, from nothing. */
  run(): Promise<Measured>;
  /** Where one page's outputs stand; undefined for the floor, which writes what platehand made. */
  readonly outputs: ((page: number) => PageOutputs) | undefined;
}

export interface PageOutputs {
  readonly composite: string;
  readonly plates: readonly string[];
  readonly line: string;
  readonly proof: string;
}

export const cores = availableParallelism();
const root = packageRoot();
export const profilePath = join(root, 'config', 'profiles', `${benchPress}.icc`);
const cli = programPath('platehand');
/** Where ImageMagick finds a policy that lets it have the memory it wants. */
const magickPolicy = join(root, 'test', 'bench', 'peers', 'magick');
const inks = ['cyan', 'magenta', 'yellow', 'black'] as const;

/** The first of several command names that is installed. */
function installed(...names: string[]): string | undefined {
  return names.find((name) => {
    try {
      execFileSync('which', [name], { stdio: 'ignore' });
      return true;
    } catch {
      return false;
    }
  });
}

export function hasVips(): boolean {
  return installed('vips') !== undefined;
}

/** All contenders for pairs that are installed here, platehand first and the floor last. */
export function contenders(setup: Setup): Contender[] {
  const magick = installed('magick', 'convert-im6.q16', 'convert');
  return [
    platehand(setup),
    ...(hasVips() ? [script(setup, 'vips', 'vips.sh', {})] : []),
    ...(magick === undefined
      ? []
      : [script(setup, 'imagemagick', 'magick.sh', { MAGICK: magick, MAGICK_CONFIGURE_PATH: magickPolicy })]),
    sharpScript(setup),
    ...(hasVips() && installed('tificc') !== undefined
      ? [script(setup, 'tificc', 'vips.sh', { COLOUR_STEP: 'tificc' })]
      : []),
    floor(setup),
  ];
}

/** A job folder with the same pages as `job` beside it and no results. */
export async function freshJob(base: string, name: string): Promise<string> {
  const folder = join(base, name);
  await rm(folder, { recursive: true, force: true });
  await mkdir(join(folder, 'incoming'), { recursive: true });
  await link(join(base, 'job', 'job.yaml'), join(folder, 'job.yaml'));
  const incoming = join(base, 'job', 'incoming');
  for (const file of await readdir(incoming))
    await link(join(incoming, file), join(folder, 'incoming', file));
  return folder;
}

/** Exit code 1 says that pages have findings to look at, which pages for measuring may have. */
export function runPlatehand(folder: string, ...options: string[]): Promise<Measured> {
  return measure(process.execPath, [cli, 'run', folder, ...options], { allowed: [0, 1] });
}

/** platehand with everything on. */
export function platehand(setup: Setup): Contender {
  return {
    name: 'platehand',
    run: async () => runPlatehand(await freshJob(setup.folder, 'platehand')),
    outputs: platehandOutputs(setup, 'platehand'),
  };
}

/** Where a job folder of platehand's has a page's outputs. */
export function platehandOutputs(setup: Setup, folder: string): (page: number) => PageOutputs {
  const job = join(setup.folder, folder);
  return (page) => {
    const stem = stemOf(setup, page);
    return {
      composite: join(job, 'press', `${stem}.tif`),
      plates: inks.map((ink) => join(job, 'plates', `${stem}_${ink}.tif`)),
      line: join(job, 'press', `${stem}_line.tif`),
      proof: join(job, 'proofs', `${stem}_proof.png`),
    };
  };
}

/** How platehand's file names begin: issue and page, with as many digits as the last page has. */
function stemOf({ issue }: Setup, page: number): string {
  return `BEN01_${String(page).padStart(String(issue.pages).length, '0')}`;
}

/** The thumbnail of a page among platehand's results: the only file of its kind. */
export async function thumbnailPath(setup: Setup, page: number): Promise<string> {
  const stem = stemOf(setup, page);
  const folder = join(setup.folder, 'platehand', '.platehand', 'results', stem);
  const [key] = await readdir(folder);
  return join(folder, key, `${stem}_thumbnail.png`);
}

export function pageNumbers({ issue }: Setup): number[] {
  return Array.from({ length: issue.pages }, (_, i) => i + 1);
}

/** Where a script writes a page's outputs. */
export function scriptOutputs(setup: Setup, name: string): (page: number) => PageOutputs {
  return (page) => {
    const path = (file: string) => join(setup.folder, name, String(page).padStart(2, '0'), file);
    return {
      composite: path('composite.tif'),
      plates: inks.map((ink) => path(`${ink}.tif`)),
      line: path('line.tif'),
      proof: path('proof.png'),
    };
  };
}

/** A word as the shell takes it, whatever is in it. */
function quoted(text: string): string {
  return `'${text.replaceAll("'", "'\\''")}'`;
}

/** A command that calls a shell script of the peers once for each list of words, as many at a time as there are cores. */
export function sideBySide(file: string, calls: readonly (readonly string[])[]): string {
  const path = join(root, 'test', 'bench', 'peers', file);
  // As many words for each call: xargs takes so many at a time.
  const words = calls.flatMap((call) => [path, ...call].map(quoted)).join(' ');
  return `printf '%s\\0' ${words} | xargs -0 -n ${calls[0].length + 1} -P ${cores} bash`;
}

/** A shell script, one page a call, as many calls side by side as there are cores, each on one thread. */
function script(setup: Setup, name: string, file: string, env: Readonly<Record<string, string>>): Contender {
  const { issue, folder, proofWidth } = setup;
  const { width, height } = pageSize(issue.colourPpi);
  const calls = pageNumbers(setup).map((page) => {
    const { colour, line } = partPaths(join(folder, 'job'), page);
    const out = join(folder, name, String(page).padStart(2, '0'));
    const numbers = [width, height, issue.colourPpi, proofWidth].map(String);
    return [colour, line, profilePath, out, ...numbers, join(folder, 'srgb.icc')];
  });
  return {
    name,
    outputs: scriptOutputs(setup, name),
    async run() {
      await rm(join(folder, name), { recursive: true, force: true });
      return measure('bash', ['-c', sideBySide(file, calls)], { env });
    },
  };
}

/** Path of a peer that is a program of its own. */
export const peer = (name: string) => fileURLToPath(new URL(`./peers/${name}.js`, import.meta.url));

function allParts(setup: Setup): string[] {
  return pageNumbers(setup).flatMap((page) => pageFiles(join(setup.folder, 'job'), setup.kind, page));
}

function sharpScript(setup: Setup): Contender {
  const { issue, folder, proofWidth } = setup;
  const { width, height } = pageSize(issue.colourPpi);
  const numbers = [width, height, issue.colourPpi, proofWidth, cores].map(String);
  const out = join(folder, 'sharp');
  return {
    name: 'sharp',
    outputs: scriptOutputs(setup, 'sharp'),
    async run() {
      await rm(out, { recursive: true, force: true });
      return measure(process.execPath, [
        peer('sharp-page'),
        profilePath,
        out,
        ...numbers,
        ...allParts(setup),
      ]);
    },
  };
}

/** What decodes the inputs and encodes platehand's outputs, and does nothing else. */
export function floor(setup: Setup): Contender {
  const out = join(setup.folder, 'floor');
  const words = [profilePath, join(setup.folder, 'pixels'), out].map(quoted).join(' ');
  const files = allParts(setup);
  const parts = [String(files.length / setup.issue.pages), ...files].map(quoted).join(' ');
  const one = `${quoted(process.execPath)} ${quoted(peer('floor'))} ${words}`;
  const processes = Math.min(cores, setup.issue.pages);
  const calls = Array.from({ length: processes }, (_, i) => `${one} ${i} ${processes} ${parts} &`);
  return {
    name: 'floor',
    outputs: undefined,
    async run() {
      await rm(out, { recursive: true, force: true });
      await mkdir(out, { recursive: true });
      return measure('bash', ['-c', `${calls.join('\n')}\nwait\n`]);
    },
  };
}
