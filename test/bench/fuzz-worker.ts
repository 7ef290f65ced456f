import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Coverage } from './fuzz-coverage.js';
import { mutated } from './fuzz-mutations.js';
import { type FuzzTarget, faultWith, fuzzTargets } from './fuzz-targets.js';
import { seededRandom } from './watched-issue.js';

/** What a worker is asked to do. */
export interface FuzzTask {
  readonly target: string;
  readonly seed: number;
  readonly seconds: number;
  /** For the input in hand, so that one that ends the process is known. */
  readonly folder: string;
  /** Inputs of earlier runs, in base64. */
  readonly corpus: readonly string[];
}

/** What a worker tells: now and then how far it is, at the end all. */
export interface FuzzNews {
  readonly executions: number;
  readonly pieces: number;
  readonly peakMB: number;
  readonly faults: readonly { readonly input: string; readonly what: string }[];
  /** At the end: small inputs that reach all that was reached, in base64. */
  readonly corpus?: readonly string[];
}

interface Kept {
  readonly input: Buffer;
  readonly pieces: readonly string[];
}

const newsEveryMs = 500;
/** A fault of each kind is told once, and no more kinds than these. */
const mostFaults = 20;

/** Keeps what reaches code that nothing before it has reached, and goes on from there. */
class Fuzzing {
  private readonly coverage = new Coverage((url) =>
    /\/(?:dist\/bench\/|node_modules\/(?:yaml|yauzl|saxes|zod)\/)/.test(url),
  );
  private readonly random: () => number;
  private readonly seen = new Set<string>();
  private readonly kept: Kept[] = [];
  private readonly faults = new Map<string, { input: string; what: string }>();
  private executions = 0;

  constructor(
    private readonly target: FuzzTarget,
    private readonly task: FuzzTask,
  ) {
    this.random = seededRandom(task.seed);
  }

  async work(): Promise<FuzzNews> {
    const endMs = performance.now() + this.task.seconds * 1000;
    const timer = setInterval(() => process.send?.(this.news()), newsEveryMs);
    const known = this.task.corpus.map((text) => Buffer.from(text, 'base64'));
    for (const input of [...(await this.target.seeds()), ...known]) await this.try(input);
    while (performance.now() < endMs) {
      const mutant = mutated(this.oneKept(), this.random, {
        words: this.target.words,
        other: this.oneKept(),
      });
      await this.try(
        this.target.mend !== undefined && this.random() < 0.8 ? this.target.mend(mutant) : mutant,
      );
      // Timers run in between.
      if (this.executions % 64 === 0) await new Promise((resolve) => setImmediate(resolve));
    }
    clearInterval(timer);
    return { ...this.news(), corpus: smallest(this.kept).map((input) => input.toString('base64')) };
  }

  private async try(input: Buffer): Promise<void> {
    writeFileSync(join(this.task.folder, 'current'), input);
    const what = await faultWith(this.target, input, this.task.folder);
    this.executions++;
    const pieces = this.coverage.take();
    if (what !== undefined) this.note(input, what);
    const isNew = pieces.some((piece) => !this.seen.has(piece));
    if (!isNew && this.kept.length > 0) return;
    for (const piece of pieces) this.seen.add(piece);
    this.kept.push({ input, pieces });
  }

  /** By its first lines: the same fault in the same place counts once. */
  private note(input: Buffer, what: string): void {
    const kind = what.split('\n').slice(0, 3).join('\n').replace(/\d+/g, 'n');
    if (this.faults.has(kind) || this.faults.size >= mostFaults) return;
    this.faults.set(kind, { input: input.toString('base64'), what });
  }

  /** What was found last is taken more often. */
  private oneKept(): Buffer {
    const back = Math.floor(this.random() ** 2 * this.kept.length);
    return this.kept[this.kept.length - 1 - back].input;
  }

  private news(): FuzzNews {
    return {
      executions: this.executions,
      pieces: this.seen.size,
      peakMB: Math.round(process.resourceUsage().maxRSS / 1000),
      faults: [...this.faults.values()],
    };
  }
}

/** The smallest first, each that reaches something the ones before do not. */
function smallest(kept: readonly Kept[]): Buffer[] {
  const seen = new Set<string>();
  const few: Buffer[] = [];
  for (const { input, pieces } of kept.toSorted((a, b) => a.input.length - b.input.length)) {
    if (pieces.every((piece) => seen.has(piece))) continue;
    for (const piece of pieces) seen.add(piece);
    few.push(input);
  }
  return few;
}

/** Does a task that was handed over, tells what came of it, and ends. */
export function serve(): void {
  process.once('message', async (task: FuzzTask) => {
    const news = await new Fuzzing(fuzzTargets[task.target], task).work();
    process.send?.(news, () => process.exit());
  });
}
