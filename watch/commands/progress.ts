import { visible } from '../../config/visible-text.js';
import type { RunEvent } from '../../pipeline/issue/run-issue.js';

/** Where progress goes: a terminal, or anything that takes lines. */
export interface ProgressStream {
  readonly isTTY?: boolean | undefined;
  readonly columns?: number | undefined;
  write(text: string): unknown;
}

const barWidth = 24;

/**
 * Shows a run as it goes on: on a terminal one line with a bar, the pages in hand and the time left; elsewhere a plain
 * line for each finished page. Returns what to hand to a run as `onEvent`.
 * @param now clock in milliseconds
 */
export function showProgress(
  stream: ProgressStream,
  now: () => number = Date.now,
): (event: RunEvent) => void {
  const inHand = new Set<string>();
  let total = 0;
  let done = 0;
  let startMs = now();
  return (event) => {
    if (event.kind === 'planned') {
      total = event.toDo.length;
      startMs = now();
      if (total === 0) stream.write(nothingToDo(event.unchanged.length));
      return;
    }
    if (event.kind === 'started') inHand.add(event.page);
    else {
      inHand.delete(event.page);
      done++;
    }
    if (!stream.isTTY) {
      if (event.kind !== 'started') stream.write(plainLine(event, done, total));
      return;
    }
    const left = done === 0 ? undefined : ((now() - startMs) / done) * (total - done);
    const line = barLine(done, total, [...inHand], left);
    stream.write(`\r${fitLine(line, stream.columns ?? 80)}\u001b[K${done === total ? '\n' : ''}`);
  };
}

function nothingToDo(unchanged: number): string {
  if (unchanged === 0) return 'No page is ready to be worked on.\n';
  const pages = unchanged === 1 ? '1 page is' : `${unchanged} pages are`;
  return `Nothing has changed: ${pages} up to date, no page work to do.\n`;
}

function plainLine(event: RunEvent, done: number, total: number): string {
  if (event.kind === 'failed')
    return `[${done}/${total}] page ${event.page}: failed: ${visible(event.message)}\n`;
  if (event.kind !== 'finished') return '';
  const { findings } = event.result;
  const stops = findings.filter(({ severity }) => severity === 'stop').length;
  const warnings = findings.filter(({ severity }) => severity === 'warn').length;
  const isEarly = event.result.awaits !== undefined;
  const words = [isEarly ? 'waits, inspected' : stops > 0 ? 'stopped' : 'done'];
  if (isEarly && stops > 0) words.push(`${stops} to put right`);
  if (warnings > 0) words.push(`${warnings} to look at`);
  return `[${done}/${total}] page ${event.page}: ${words.join(', ')}\n`;
}

function barLine(done: number, total: number, inHand: readonly string[], leftMs: number | undefined): string {
  const filled = Math.round((done / total) * barWidth);
  const bar = `${'='.repeat(filled)}${'-'.repeat(barWidth - filled)}`;
  const pages = inHand.length === 0 ? '' : `  page ${inHand.join(', ')}`;
  const time = leftMs === undefined || done === total ? '' : `  ${timeLeft(leftMs)} left`;
  return `|${bar}| ${done}/${total}${time}${pages}`;
}

function timeLeft(milliseconds: number): string {
  const seconds = Math.max(1, Math.round(milliseconds / 1000));
  return seconds < 90 ? `${seconds} s` : `${Math.round(seconds / 60)} min`;
}

function fitLine(line: string, columns: number): string {
  return line.length < columns ? line : `${line.slice(0, Math.max(0, columns - 2))}\u2026`;
}
