import { counted } from '../../config/figures.js';
import { allVisible } from '../../config/visible-text.js';
import {
  type EngineQueue,
  type FailedPage,
  isSheetName,
  type PageInHand,
  type QueueView,
  type WorkerNews,
} from '../../pipeline/queue/queue-view.js';
import { localTime } from '../daemon/watch-event.js';
import type { Paint } from './report-text.js';

/** A queue at one moment, for people: what waits, who works on what, what came to nothing. */

/** @param view as it was read; whatever in it a terminal would obey is written out */
export function workersText(view: QueueView, paint: Paint): string {
  const shown = allVisible(view);
  return [
    ...headLines(shown, paint),
    ...workerLines(shown, paint),
    ...watcherLines(shown),
    ...endLines(shown, paint),
  ].join('\n');
}

function headLines({ queue, paused, engines, at }: QueueView, paint: Paint): string[] {
  const sum = (value: (of: EngineQueue) => number) => engines.reduce((total, each) => total + value(each), 0);
  const oldest = Math.max(-1, ...engines.map(({ oldestWaitingSeconds }) => oldestWaitingSeconds ?? -1));
  const since = oldest < 0 ? '' : `, the oldest for ${spanText(oldest)}`;
  const made = sum((each) => each.made);
  const several = engines.length < 2 ? [] : engines.map(engineLine);
  return [
    `Queue ${queue}, ${localTime(new Date(at))}`,
    `Waiting: ${counted(
      sum((each) => each.waiting),
      'page',
    )}${since}. In hand: ${sum((each) => each.inHand)}. Made in the last hour: ${sum((each) => each.madeLastHour)}.`,
    `Since the queue was made: ${counted(made, 'page')} made, ${sum((each) => each.failed)} came to nothing.`,
    ...several,
    ...(paused ? [paint('yellow', 'The queue is paused: no page is begun.')] : []),
  ];
}

function engineLine({ engine, waiting, inHand, made }: EngineQueue): string {
  return `  version ${engine}: ${waiting} waiting, ${inHand} in hand, ${made} made`;
}

function workerLines({ workers, at }: QueueView, paint: Paint): string[] {
  if (workers.length === 0) return ['', paint('red', 'No worker is there (platehand work).')];
  const width = Math.max(...workers.map(({ id }) => id.length));
  const rows = workers.flatMap((worker) => [
    `  ${worker.id.padEnd(width)}  ${loadText(worker)}`,
    ...(worker.trouble === undefined ? [] : [`      ${paint('red', `takes nothing: ${worker.trouble}`)}`]),
    ...worker.inHand.map((page) => `      ${pageText(page)} for ${spanText(secondsBetween(page.since, at))}`),
  ]);
  return ['', `${counted(workers.length, 'worker')}:`, ...rows];
}

const megapixel = 1e6;

function loadText({ inHand, jobs, pixelsInHand, pixelBudget, made, failed, engine }: WorkerNews): string {
  const pixels = `${Math.round(pixelsInHand / megapixel)} of ${Math.round(pixelBudget / megapixel)} megapixels`;
  const nothing = failed === 0 ? '' : `, ${failed} came to nothing`;
  return `${inHand.length} of ${counted(jobs, 'page')}, ${pixels}; ${made} made${nothing}; version ${engine}`;
}

function pageText({ issue, page, products }: Pick<PageInHand, 'issue' | 'page' | 'products'>): string {
  if (isSheetName(page)) return `${issue} ${page}`;
  return `${issue} page ${page}${products.length === 0 ? '' : ` (${products.join(', ')})`}`;
}

function watcherLines({ watchers }: QueueView): string[] {
  if (watchers.length === 0) return ['', 'No daemon puts pages on it (platehand watch).'];
  const width = Math.max(...watchers.map(({ id }) => id.length));
  const rows = watchers.map(
    ({ id, waitsFor, engine }) =>
      `  ${id.padEnd(width)}  waits for ${counted(waitsFor, 'page')}; version ${engine}`,
  );
  return ['', `${counted(watchers.length, 'daemon')}:`, ...rows];
}

function endLines({ failures, warnings, at }: QueueView, paint: Paint): string[] {
  const failed = failures.flatMap((each) => failureLines(each, at, paint));
  return [
    ...(failed.length === 0 ? [] : ['', 'Came to nothing, the newest first:', ...failed]),
    ...(warnings.length === 0
      ? []
      : ['', ...warnings.map((warning) => `${paint('yellow', 'Look at this:')} ${warning}`)]),
  ];
}

function failureLines(failure: FailedPage, at: string, paint: Paint): string[] {
  const where = failure.worker === undefined ? 'its worker is gone' : `on ${failure.worker}`;
  const ago = spanText(secondsBetween(failure.at, at));
  return [
    `  ${paint('red', pageText(failure))}, ${ago} ago, ${where}: ${failure.what}`,
    ...(failure.remedy === '' ? [] : [`      ${failure.remedy}`]),
  ];
}

/** Clocks of machines differ: what began in the future has just begun. */
function secondsBetween(from: string, to: string): number {
  return Math.max(0, (Date.parse(to) - Date.parse(from)) / 1000);
}

/** A span in the unit in which people speak of it. */
function spanText(seconds: number): string {
  if (!Number.isFinite(seconds)) return 'unknown time';
  if (seconds < 120) return `${Math.round(seconds)} s`;
  const minutes = seconds / 60;
  if (minutes < 120) return `${Math.round(minutes)} min`;
  const hours = minutes / 60;
  return hours < 72 ? `${hours.toFixed(1)} hours` : `${Math.round(hours / 24)} days`;
}
