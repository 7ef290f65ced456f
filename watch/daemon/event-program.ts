import { type ChildProcess, spawn } from 'node:child_process';
import { messageOf } from '../../config/errors.js';
import type { WatchEvent } from './watch-event.js';

/** A program that takes an event to a chat or a mail has this long. */
const timeLimitMs = 30_000;

/** Events that wait for the program; beyond this the oldest are left out, so that memory stays bounded. */
const mostWaiting = 1000;

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
 * involved: the text is a program's path and nothing else. Whatever it does, the daemon goes on.
 */
export class EventProgram {
  private readonly waiting: WatchEvent[] = [];
  private leftOut = 0;
  private running: ChildProcess | undefined;
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
    const timer = setTimeout(() => endWithChildren(running), waitMs);
    await new Promise((resolve) => running.once('close', resolve));
    clearTimeout(timer);
  }

  private async next(): Promise<void> {
    for (let event = this.waiting.shift(); event !== undefined; event = this.waiting.shift()) {
      // Starting a program throws at once for some reasons and reports others later.
      const failure = await this.run(event).catch(
        (thrown: unknown) => `could not be started: ${messageOf(thrown)}`,
      );
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
  private run(event: WatchEvent): Promise<string | undefined> {
    return new Promise((resolve) => {
      // A group of its own, so that what it starts can be ended with it.
      const child = spawn(this.program, [], {
        shell: false,
        detached: process.platform !== 'win32',
        stdio: ['pipe', 'ignore', 'pipe'],
        windowsHide: true,
      });
      this.running = child;
      let complaint = '';
      let late = false;
      const limitMs = this.options.timeLimitMs ?? timeLimitMs;
      const timer = setTimeout(() => {
        late = true;
        endWithChildren(child);
      }, limitMs);
      const end = (failure: string | undefined) => {
        clearTimeout(timer);
        this.running = undefined;
        resolve(failure);
      };
      child.stderr?.on('data', (chunk: Buffer) => {
        complaint = (complaint + chunk.toString()).slice(0, mostErrorText);
      });
      // A program that does not read its input closes it early; that is its own affair.
      child.stdin?.on('error', () => undefined);
      child.stdin?.end(`${JSON.stringify(event)}\n`);
      child.once('error', (error) => end(`could not be started: ${messageOf(error)}`));
      child.once('close', (code, signal) => {
        const words = complaint.trim() === '' ? '' : `: ${complaint.trim()}`;
        if (late) end(`took longer than ${limitMs / 1000} s and was ended`);
        else if (code !== 0) end(`ended with ${signal ?? `exit code ${code}`}${words}`);
        else end(undefined);
      });
    });
  }
}

function endWithChildren(child: ChildProcess): void {
  try {
    if (process.platform !== 'win32' && child.pid !== undefined) process.kill(-child.pid, 'SIGKILL');
    else child.kill('SIGKILL');
  } catch {
    // It has ended already.
  }
}
