import { spawn } from 'node:child_process';
import { mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { loadJob } from '../../config/load-job.js';
import { deliver } from '../../pipeline/bag/deliver.js';
import { IncompleteIssueError } from '../../pipeline/bag/refusals.js';
import { isDeliverable } from '../../pipeline/issue/report.js';
import { runIssue } from '../../pipeline/issue/run-issue.js';
import { readStatus } from '../../pipeline/issue/status.js';
import { cliPath, startDaemon, until } from '../helpers/daemon.js';
import { pagesHere } from '../helpers/pages-here.js';
import {
  type DrawnPage,
  type DrawnPart,
  type Fault,
  faults,
  isRight,
  newestSums,
  openVersionsIssue,
  sumsOf,
  type VersionsIssue,
} from './versions-issue.js';
import { Truth, type VersionCounts } from './versions-truth.js';
import { seededRandom } from './watched-issue.js';

/** From a run that has hardly started to one that is through. */
const [shortestLifeMs, longestLifeMs] = [200, 4000];
const daemonOptions = ['--settle', '0.1', '--grace', '0.3', '--rescan', '2', '--jobs', '1'];

/**
 * Gives pages good and wrong versions in turn, with kills and deliveries between, and looks after each step whether the last good press
 * files stand byte for byte, whether states are true, and whether every delivery holds right pages only.
 */
export async function versionsCampaign(
  steps: number,
  seed: number,
  say: (text: string) => void,
): Promise<VersionCounts> {
  const base = await mkdtemp(join(tmpdir(), 'versions-'));
  try {
    const campaign = new Campaign(
      new Truth(await openVersionsIssue(join(base, 'job')), say),
      seededRandom(seed),
    );
    await campaign.begin();
    for (let step = 1; step <= steps; step++) await campaign.step(step, steps);
    await campaign.mendAll(join(base, 'undisturbed'));
    return campaign.truth.counts;
  } finally {
    await rm(base, { recursive: true, force: true, maxRetries: 5 });
  }
}

class Campaign {
  private readonly strange: string[] = [];

  constructor(
    readonly truth: Truth,
    private readonly random: () => number,
  ) {}

  private get issue(): VersionsIssue {
    return this.truth.issue;
  }

  /** Every page but the last arrives. */
  async begin(): Promise<void> {
    for (const page of this.issue.pages.slice(0, -1)) await this.dropAll(page);
    await this.run();
  }

  async step(step: number, steps: number): Promise<void> {
    this.truth.counts.steps = step;
    this.truth.at = `step ${step}`;
    const late = this.issue.pages[this.issue.pages.length - 1];
    const arrives = late.parts[0].versions.length === 0 && step > steps / 4;
    if (arrives) await this.arriveLate(late);
    else for (let i = this.below(3); i >= 0; i--) await this.change();
    const how = this.random();
    if (!arrives && how < 0.3) await this.killed('run');
    if (!arrives && how >= 0.3 && how < 0.45) await this.killed('deliver', '--partial', 'interim');
    if (how > 0.85) await this.watched();
    else await this.run();
    await this.deliverSomething();
    if (step % 10 === 0) this.truth.say(`${step} steps, ${this.truth.counts.filesChecked} files looked at\n`);
  }

  /** The last page comes, and in the same moment its picture as a new version of another one. */
  private async arriveLate(late: DrawnPage): Promise<void> {
    await this.dropAll(late);
    const wholes = this.issue.pages.filter(({ parts, id }) => parts[0].part === 'whole' && id !== late.id);
    await this.wrong(wholes[0].parts[0], 'another page', late);
  }

  private async change(): Promise<void> {
    const arrived = this.issue.pages.filter(({ parts }) => parts[0].versions.length > 0);
    const part = this.oneOf(this.oneOf(arrived).parts);
    const kind = this.random();
    if (kind < 0.35) await this.good(part);
    else if (kind < 0.5 && part.versions.length > 1) await this.issue.takeBack(part);
    else if (kind < 0.57) {
      this.strange.push(await this.issue.dropStrange(part));
      this.truth.counts.wrong['another issue']++;
    } else {
      const others = arrived.filter(
        (page) => page !== part.page && page.parts.some((one) => areAlike(one, part)),
      );
      await this.wrong(part, this.oneOf(faults), this.oneOf(others));
    }
  }

  private async dropAll(page: DrawnPage): Promise<void> {
    for (const part of page.parts) await this.good(part);
  }

  private async good(part: DrawnPart): Promise<void> {
    this.truth.counts.good++;
    await this.issue.drop(part, undefined, 0, part.page, this.random() < 0.3);
  }

  private async wrong(part: DrawnPart, fault: Fault, other: DrawnPage): Promise<void> {
    this.truth.counts.wrong[fault]++;
    const whose = fault === 'another page' ? other : part.page;
    await this.issue.drop(part, fault, this.random(), whose, this.random() < 0.3);
  }

  private async run(): Promise<void> {
    const { pages, unknown } = await runIssue(await this.job(), { runner: pagesHere });
    for (const name of this.strange) {
      this.truth.holds(
        unknown.some((one) => one.name === name),
        `${name} of another issue is not reported`,
      );
    }
    await this.truth.check(pages);
  }

  /** A daemon takes it up, and is ended in peace or not once everything is as it should be. */
  private async watched(): Promise<void> {
    const daemon = startDaemon(this.issue.folder, daemonOptions);
    await daemon.event(({ kind }) => kind === 'started', 'the daemon');
    const isSettled = async () => {
      const { report } = await readStatus(await this.job());
      return report.pages.every(({ state, used }, at) => {
        const page = this.issue.pages[at];
        if (page.parts[0].versions.length === 0) return state === 'missing';
        return isRight(page)
          ? isDeliverable(state) && sumsOf(used) === newestSums(page)
          : state === 'stopped';
      });
    };
    await until(isSettled, `${this.truth.at}: the daemon to settle`).catch((thrown) =>
      this.truth.fault(String(thrown)),
    );
    const signal = this.random() < 0.5 ? 'SIGTERM' : 'SIGKILL';
    if (signal === 'SIGKILL') this.truth.counts.kills++;
    await daemon.end(signal);
    await this.run();
  }

  /** Ends a command with SIGKILL at a random moment; what it leaves must be right as far as it goes. */
  private async killed(...words: string[]): Promise<void> {
    const [command, ...options] = words;
    const child = spawn(process.execPath, [cliPath, command, this.issue.folder, ...options], {
      stdio: 'ignore',
    });
    const dead = new Promise((resolve) => child.once('exit', resolve));
    await Promise.race([dead, pause(shortestLifeMs + this.random() * (longestLifeMs - shortestLifeMs))]);
    child.kill('SIGKILL');
    await dead;
    this.truth.counts.kills++;
    this.truth.mayHavePlaced();
    await this.truth.checkBundles();
  }

  private async deliverSomething(): Promise<void> {
    const job = await this.job();
    const wrong = this.issue.pages.filter((page) => !isRight(page));
    const owed = wrong.filter(({ parts }) => parts[0].versions.length === 0).map(({ id }) => id);
    const some = this.issue.pages.filter(() => this.random() < 0.4).map(({ id }) => id);
    const ways = [
      { options: {}, isRefused: wrong.length > 0 },
      { options: { partial: { reason: 'interim' } }, isRefused: false },
      { options: { earlier: wrong.map(({ id }) => id) }, isRefused: owed.length > 0 },
      {
        options: { pages: some },
        isRefused: this.truth.delivered.size === 0 || wrong.some(({ id }) => some.includes(id)),
      },
    ];
    const { options, isRefused } = this.oneOf(ways);
    if (options.pages?.length === 0) return;
    try {
      const made = await deliver(job, { ...options, runner: pagesHere, date: '2026-11-20' });
      this.truth.holds(!isRefused, `${JSON.stringify(options)} should have been refused`);
      if (made.isNew) this.truth.counts.deliveries++;
    } catch (thrown) {
      const isRefusal =
        thrown instanceof IncompleteIssueError || (thrown as { code?: string }).code === 'wrong-use';
      this.truth.holds(
        isRefused && isRefusal,
        `${JSON.stringify(options)} was refused: ${String(thrown).slice(0, 300)}`,
      );
      this.truth.counts.refused++;
    }
    await this.truth.checkBundles();
    await this.truth.check((await runIssue(job, { runner: pagesHere })).pages);
  }

  /** Everything comes right, is delivered, and is what an issue is that nobody has disturbed. */
  async mendAll(folder: string): Promise<void> {
    this.truth.at = 'at the end';
    for (const page of this.issue.pages) {
      for (const part of page.parts)
        if (part.versions.at(-1)?.fault || part.versions.length === 0) await this.good(part);
    }
    await this.run();
    const { path, kind, bundle } = await deliver(await this.job(), { runner: pagesHere, date: '2026-11-21' });
    this.truth.holds(kind === 'whole' && bundle.verified.ok, `${path} is ${kind}`);
    await this.truth.checkBundles();
    await mkdir(join(folder, 'incoming'), { recursive: true });
    for (const { name } of this.issue.pages.flatMap(({ parts }) =>
      parts.flatMap(({ versions }) => versions.slice(-1)),
    )) {
      await writeFile(
        join(folder, 'incoming', name),
        await readFile(join(this.issue.folder, 'incoming', name)),
      );
    }
    await writeFile(join(folder, 'job.yaml'), await readFile(join(this.issue.folder, 'job.yaml')));
    const { pages } = await runIssue(await loadJob(folder), { runner: pagesHere });
    for (const { page, outputs } of pages) {
      const [known] = this.truth.standing.get(page) ?? [];
      const made = outputs.filter(({ product }) => product === 'press' || product === 'plates');
      const isSame = made.every(({ sha256 }) => known?.files.some((one) => one.endsWith(sha256)));
      this.truth.holds(
        isSame && made.length === known?.files.length,
        `page ${page} is not as if undisturbed`,
      );
    }
  }

  private job() {
    return loadJob(this.issue.folder);
  }

  private below(limit: number): number {
    return Math.floor(this.random() * limit);
  }

  private oneOf<T>(choices: readonly T[]): T {
    return choices[this.below(choices.length)];
  }
}

/** Whether one part can be taken for another: line for line, a whole page for colour. */
const areAlike = (one: DrawnPart, other: DrawnPart): boolean =>
  (one.part === 'line') === (other.part === 'line');
