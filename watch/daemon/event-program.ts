import { type ChildProcess, spawn } from 'node:child_process';
import type { Readable } from 'node:stream';
import { messageOf } from '../../config/errors.js';
import { visible } from '../../config/visible-text.js';
import type { WatchEvent } from './watch-event.js';

/** A program that takes an event to a chat or a mail has this long. */
const timeLimitMs = 30_000;

/** Events that wait for the program; beyond this the oldest are left out, so that memory stays bounded. */
const mostWaiting = 1000;

/** What the program said last is on its way this long after its end; longer only where something that it started keeps the pipe. */
const lastWordsMs = 200;

/** As much of what the program complains about as goes into the report. */
const mostErrorText = 500;

export interface EventProgramOptions {
  /** How long the program may take over one event, in milliseconds; default 30 000. */
  readonly timeLimitMs?: number;
  /** Is told, in words, whatever goes wrong with the program. */
  readonly onFailure: (message: string) => void;
}

/**
 * Runs a program for each event, one after the other, with the event as JSON on its standard input. No shell is
 * involved: the text is a program's path and nothing else. Whatever it does, the daemon goes on: a run has ended when the program has,
 * and what it leaves behind is ended with it.
 */
export class EventProgram {
  private readonly waiting: WatchEvent[] = [];
  private leftOut = 0;
  private running: { readonly child: ChildProcess; readonly ended: Promise<unknown> } | undefined;
  private closed = false;

  constructor(
    private readonly program: string,
    private readonly options: EventProgramOptions,
  ) {}

  send(event: WatchEvent): void {
    if (this.closed) return;
    this.waiting.push(event);
    if (this.waiting.length > mostWaiting) {
      this.waiting.shift();
      this.leftOut++;
    }
    if (this.running === undefined) void this.next();
  }

  /** Gives the program in hand `waitMs` to end; what still waits is not sent. */
  async close(waitMs: number): Promise<void> {
    this.closed = true;
    this.waiting.length = 0;
    const { running } = this;
    if (running === undefined) return;
    const timer = setTimeout(() => endWithChildren(running.child), waitMs);
    await running.ended;
    clearTimeout(timer);
  }

  private async next(): Promise<void> {
    for (let event = this.waiting.shift(); event !== undefined; event = this.waiting.shift()) {
      // Starting a program throws at once for some reasons and reports others later.
      const failure = await this.run(event).catch(
        (thrown: unknown) => `could not be started: ${messageOf(thrown)}`,
      );
      this.running = undefined;
      if (failure !== undefined) this.options.onFailure(`The program ${this.program} ${failure}`);
      if (this.leftOut > 0) {
        this.options.onFailure(
          `${this.leftOut} events were not passed on: ${this.program} is too slow for them`,
        );
        this.leftOut = 0;
      }
    }
  }

  /** @returns what went wrong, if anything */
  private async run(event: WatchEvent): Promise<string | undefined> {
    // A group of its own, so that what it starts can be ended with it.
    const child = spawn(this.program, [], {
      shell: false,
      detached: process.platform !== 'win32',
      stdio: ['pipe', 'ignore', 'pipe'],
      windowsHide: true,
    });
    const complaint = collected(child.stderr);
    // A program that does not read its input closes it early; that is its own affair.
    child.stdin?.on('error', () => undefined);
    child.stdin?.end(`${JSON.stringify(event)}\n`);
    const ended = endOf(child, this.options.timeLimitMs ?? timeLimitMs);
    this.running = { child, ended };
    const failure = await ended;
    if (failure === undefined) return undefined;
    const words = visible(
      complaint()
        .trim()
        .replaceAll(/\s*\n\s*/g, ' | '),
    );
    return failure.isOwn && words !== '' ? `${failure.what}: ${words}` : failure.what;
  }
}

/** What went wrong with a program; `isOwn` where it may have said more about it itself. */
interface Failure {
  readonly what: string;
  readonly isOwn: boolean;
}

/**
 * Waits for the end of a program, not for that of others that it has left behind: they are ended as well. At the limit the program is ended,
 * and not waited for much longer where the system does not let it go.
 */
function endOf(child: ChildProcess, limitMs: number): Promise<Failure | undefined> {
  return new Promise((resolve) => {
    let failure: Failure | undefined;
    let timer: NodeJS.Timeout;
    const end = () => {
      clearTimeout(timer);
      child.stdin?.destroy();
      child.stderr?.destroy();
      resolve(failure);
    };
    timer = setTimeout(() => {
      failure = { what: `took longer than ${limitMs / 1000} s and was ended`, isOwn: false };
      endWithChildren(child);
      timer = setTimeout(end, lastWordsMs);
    }, limitMs);
    child.once('error', (error) => {
      failure = { what: `could not be started: ${messageOf(error)}`, isOwn: false };
      end();
    });
    child.once('exit', (code, signal) => {
      if (code !== 0) failure ??= { what: `ended with ${signal ?? `exit code ${code}`}`, isOwn: true };
      endWithChildren(child);
      clearTimeout(timer);
      timer = setTimeout(end, lastWordsMs);
    });
    child.once('close', end);
  });
}

/** The beginning of what a program writes, as it stands when it is asked for. */
function collected(output: Readable | null): () => string {
  let text = '';
  output?.on('data', (chunk: Buffer) => {
    text = (text + chunk.toString()).slice(0, mostErrorText);
  });
  return () => text;
}

function endWithChildren(child: ChildProcess): void {
  try {
    if (process.platform !== 'win32' && child.pid !== undefined) process.kill(-child.pid, 'SIGKILL');
    else child.kill('SIGKILL');
  } catch {
    // It has ended already.
  }
}
