import { createHash } from 'node:crypto';
import { cp, lstat, mkdir, mkdtemp, readdir, readFile, readlink, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { type Bounds, type Ended, Running, wrongWith } from './attack-command.js';
import { colourVariant, makeWatchedIssue } from './watched-issue.js';

/** Pages that the attacked issue owes; the first and the last are good, and nothing that happens to the others may touch them. */
const pageCount = 26;
const goodPages = ['1', '25'] as const;
/** Numbers of pages for what is hostile: odd ones are flat. */
export const victims = Array.from({ length: pageCount }, (_, index) => `${index + 1}`).filter(
  (page) => !goodPages.some((good) => good === page),
);

/** What was found; a sentence each. */
export interface Faults {
  readonly damaged: string[];
  readonly lost: string[];
  readonly hung: string[];
  readonly wrong: string[];
}

/** What one case works with: a folder of its own with the job in it, and what has to hold after each command. */
export class AttackedIssue {
  readonly faults: Faults = { damaged: [], lost: [], hung: [], wrong: [] };
  peakMB = 0;
  private surroundings = '';

  private constructor(
    readonly base: string,
    /** The job folder. */
    readonly folder: string,
    private readonly reference: ReadonlyMap<string, string>,
  ) {}

  /** A fresh issue with its good pages, beside things that are not to be touched. */
  static async open(template: Template): Promise<AttackedIssue> {
    const base = await mkdtemp(join(tmpdir(), 'attack-'));
    for (const room of ['outside', 'home', 'tmp']) await mkdir(join(base, room));
    await writeFile(join(base, 'outside', 'page.tif'), 'not to be touched');
    await cp(template.folder, join(base, 'job'), { recursive: true, preserveTimestamps: true });
    const issue = new AttackedIssue(base, join(base, 'job'), template.outputs);
    issue.surroundings = await issue.surroundingsNow();
    return issue;
  }

  get incoming(): string {
    return join(this.folder, 'incoming');
  }

  bounds(limitMs: number): Bounds {
    return { limitMs, env: { HOME: join(this.base, 'home'), TMPDIR: join(this.base, 'tmp') } };
  }

  /** Runs a command on the folder to its end and looks at how it ended. */
  async platehand(limitMs: number, command: string, ...more: readonly string[]): Promise<Ended> {
    return this.command(limitMs, [command, this.folder, ...more]);
  }

  /** Runs any command to its end and looks at how it ended. */
  async command(limitMs: number, words: readonly string[]): Promise<Ended> {
    return this.judged(await new Running(words, this.bounds(limitMs)).end());
  }

  /** Notes what is wrong with how a command ended. */
  judged(ended: Ended, killed = false): Ended {
    this.peakMB = Math.max(this.peakMB, ended.peakMB);
    for (const what of wrongWith(ended, killed)) this.faults[ended.hung ? 'hung' : 'wrong'].push(what);
    return ended;
  }

  /** Does something that must leave what people dropped as it is. */
  async keepingInputs(work: () => Promise<unknown>): Promise<void> {
    const before = await treeOf(this.incoming);
    await work();
    if ((await treeOf(this.incoming)) !== before) this.faults.lost.push('incoming/ was changed');
  }

  /** Whether every good page stands as it is without any attack, every output is whole, and nothing else was touched. */
  async check(made = true): Promise<void> {
    for (const [path, sha256] of made ? this.reference : []) {
      const bytes = await readFile(join(this.folder, path)).catch(() => undefined);
      if (bytes === undefined) this.faults.lost.push(`${path} of a good page is not made`);
      else if (sha256Of(bytes) !== sha256) this.faults.damaged.push(`${path} of a good page has other bytes`);
    }
    await this.checkWhole();
    if ((await this.surroundingsNow()) !== this.surroundings)
      this.faults.wrong.push('something outside the job folder was touched');
  }

  /** Whatever stands under a final name is a whole picture. */
  async checkWhole(): Promise<void> {
    for (const path of await outputsIn(this.folder)) {
      const known = this.reference.get(path);
      const bytes = await readFile(join(this.folder, path)).catch(() => undefined);
      if (bytes === undefined || (known !== undefined && sha256Of(bytes) === known)) continue;
      const whole = await sharp(bytes, { failOn: 'warning' })
        .stats()
        .catch(() => undefined);
      if (whole === undefined) this.faults.damaged.push(`${path} is not a whole picture`);
    }
  }

  /** All but the job folder and what is temporary. */
  private async surroundingsNow(): Promise<string> {
    const names = (await readdir(this.base)).sort().join();
    return [names, await treeOf(join(this.base, 'outside')), await treeOf(join(this.base, 'home'))].join(
      '\n',
    );
  }

  remove(): Promise<void> {
    return rm(this.base, { recursive: true, force: true, maxRetries: 5 });
  }
}

/** The issue as it is before any attack, and what its good pages come to. */
export interface Template {
  readonly folder: string;
  /** SHA-256 of each output by its path. */
  readonly outputs: ReadonlyMap<string, string>;
  readonly remove: () => Promise<void>;
}

/** Makes the issue, and its good pages in a copy of it that nobody attacks. */
export async function makeTemplate(): Promise<Template> {
  const base = await mkdtemp(join(tmpdir(), 'attack-template-'));
  const folder = join(base, 'job');
  const issue = await makeWatchedIssue(folder, pageCount);
  for (const name of await readdir(join(folder, 'incoming'))) await rm(join(folder, 'incoming', name));
  for (const [at, page] of goodPages.entries()) await issue.drop(page, await colourVariant(at));
  await cp(folder, join(base, 'made'), { recursive: true, preserveTimestamps: true });
  const run = await new Running(['run', join(base, 'made'), '--jobs', '1'], {
    limitMs: 120_000,
    env: {},
  }).end();
  const outputs = new Map<string, string>();
  for (const path of await outputsIn(join(base, 'made'))) {
    if (path.includes('contact-sheet')) continue;
    outputs.set(path, sha256Of(await readFile(join(base, 'made', path))));
  }
  if (outputs.size < 2 * goodPages.length) throw new Error(`the sound issue is not made: ${run.output}`);
  return { folder, outputs, remove: () => rm(base, { recursive: true, force: true }) };
}

async function outputsIn(folder: string): Promise<string[]> {
  const paths: string[] = [];
  for (const room of ['press', 'plates', 'proofs']) {
    const names = await readdir(join(folder, room)).catch(() => []);
    paths.push(
      ...names
        .filter((name) => /\.(?:tif|png|jpg)$/.test(name) && !name.startsWith('.'))
        .map((name) => `${room}/${name}`),
    );
  }
  return paths;
}

function sha256Of(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}

/** Small files are compared by their bytes. */
const comparedBytes = 2 ** 20;

/** A folder as text: each entry with kind, size, time and content. Names as bytes, for some are no text. */
async function treeOf(folder: string): Promise<string> {
  const lines: string[] = [];
  const walk = async (path: Buffer): Promise<void> => {
    for (const name of (await readdir(path, { encoding: 'buffer' })).sort(Buffer.compare)) {
      const inside = Buffer.concat([path, Buffer.from('/'), name]);
      const facts = await lstat(inside);
      const content = facts.isSymbolicLink()
        ? await readlink(inside)
        : facts.isFile() && facts.size <= comparedBytes
          ? sha256Of(await readFile(inside))
          : '';
      const sizes = facts.isDirectory() ? '' : `${facts.size} ${facts.mtimeMs}`;
      lines.push(`${inside.toString('hex')} ${facts.mode} ${sizes} ${content}`);
      if (facts.isDirectory()) await walk(inside);
    }
  };
  await walk(Buffer.from(folder));
  return lines.join('\n');
}
