import { type ChildProcess, spawn } from 'node:child_process';
import { setTimeout as pause } from 'node:timers/promises';
import { cliPath } from '../helpers/daemon.js';
import { memoryOf } from './measure.js';

/** How a command ended and what it said. */
export interface Ended {
  readonly words: string;
  /** Exit code, or the signal that ended it. */
  readonly code: number | string;
  readonly output: string;
  /** Whether it had to be ended, for its time or for its memory. */
  readonly hung: boolean;
  readonly peakMB: number;
  /** Whether processes of it were still there some seconds after its end. */
  readonly leftBehind: boolean;
}

export interface Bounds {
  /** In milliseconds. */
  readonly limitMs: number;
  /** Home and folder for temporary files. */
  readonly env: Readonly<Record<string, string>>;
}

/** What a machine of 4 GB can bear beside other programs, in MB. Own choice. */
const mostMB = 2000;
const sampleMs = 60;
const mostOutput = 16e6;
/** Page processes notice within a second that nobody needs them; the rest is for a busy machine. */
const leftBehindMs = 6000;

/** A command in a process group of its own, with all that it says. */
export class Running {
  readonly child: ChildProcess;
  private output = '';
  private peakMB = 0;
  private hung = false;
  private over = false;
  private readonly ended: Promise<number | string>;

  constructor(
    private readonly args: readonly string[],
    { limitMs, env }: Bounds,
  ) {
    this.child = spawn(process.execPath, [cliPath, ...args], {
      stdio: ['ignore', 'pipe', 'pipe'],
      env: { ...process.env, ...env },
      detached: true,
    });
    for (const stream of [this.child.stdout, this.child.stderr]) {
      stream?.on('data', (chunk: Buffer) => {
        if (this.output.length < mostOutput) this.output += chunk.toString('latin1');
      });
    }
    this.ended = new Promise((resolve) => {
      this.child.once('exit', (code, signal) => resolve(signal ?? code ?? -1));
    });
    void this.ended.then(() => {
      this.over = true;
    });
    void this.watch(limitMs);
  }

  /** What it has said so far, each byte a character. */
  get said(): string {
    return this.output;
  }

  private async watch(limitMs: number): Promise<void> {
    const endMs = performance.now() + limitMs;
    while (!this.over) {
      this.peakMB = Math.max(this.peakMB, await memoryOf(this.child.pid ?? 0));
      if (performance.now() > endMs || this.peakMB > mostMB) {
        this.hung = true;
        killGroup(this.child, 'SIGKILL');
        return;
      }
      await pause(sampleMs);
    }
  }

  async end(): Promise<Ended> {
    const code = await this.ended;
    const leftBehind = !(await groupIsGone(this.child));
    if (leftBehind) killGroup(this.child, 'SIGKILL');
    const { output, hung, peakMB } = this;
    return { words: this.args.join(' '), code, output, hung, peakMB: Math.round(peakMB), leftBehind };
  }
}

function killGroup({ pid }: ChildProcess, signal: NodeJS.Signals | 0): boolean {
  try {
    return process.kill(-(pid ?? 0), signal);
  } catch {
    return false;
  }
}

async function groupIsGone(child: ChildProcess): Promise<boolean> {
  const endMs = performance.now() + leftBehindMs;
  while (killGroup(child, 0)) {
    if (performance.now() > endMs) return false;
    await pause(20);
  }
  return true;
}

const documented: readonly (number | string)[] = [0, 1, 2, 3];

/** Everything but line ends and tabs that a terminal would obey, C1 and marks of direction in UTF-8 included. */
const obeyed =
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is looked for
  /[\x00-\x08\x0b-\x1f\x7f]|\xc2[\x80-\x9f]|\xd8\x9c|\xe2\x80[\x8e\x8f\xaa-\xae]|\xe2\x81[\xa6-\xa9]/;

/** What is wrong with how a command ended, a sentence each. @param killed whether it was killed on purpose */
export function wrongWith(
  { words, code, output, hung, leftBehind, peakMB }: Ended,
  killed = false,
): string[] {
  const command = words.replace(/\S*\//g, '');
  if (hung) return [`hung: ${command} (${peakMB} MB)`];
  const wrong: string[] = [];
  if (!killed && !documented.includes(code)) wrong.push(`${command} ends with ${code}`);
  if (/failed unexpectedly|\n {4}at .*:\d+:\d+/.test(output))
    wrong.push(`${command} shows a trace: ${excerpt(output)}`);
  const control = obeyed.exec(output);
  if (control !== null) {
    const around = output.slice(Math.max(0, control.index - 30), control.index + 10);
    wrong.push(`${command} writes a control character: ${JSON.stringify(around)}`);
  }
  if (leftBehind) wrong.push(`${command} leaves processes behind`);
  return wrong;
}

function excerpt(output: string): string {
  const at = Math.max(0, output.search(/failed unexpectedly|\n {4}at /));
  return JSON.stringify(output.slice(at, at + 300));
}
