import { visible } from '../../config/visible-text.js';
import { isSheetName } from '../../pipeline/queue/queue-view.js';
import { localTime } from '../daemon/watch-event.js';

/** What happened at a worker. */
export interface WorkEvent {
  /** ISO time. */
  readonly at: string;
  /** Machine and process. */
  readonly worker: string;
  /**
   * `began`: it takes pages. `made`: a page is in the store. `found`: it was there already. `failed`: it came to nothing. `dropped`: nobody
   * waits for it any more. `trouble`: disk, store or queue are in trouble, and it takes nothing for a while. `back`: the queue is back. `ended`.
   */
  readonly kind: 'began' | 'made' | 'found' | 'failed' | 'dropped' | 'trouble' | 'back' | 'ended';
  readonly issue?: string;
  /** Page id, or `contact sheet`, or `colour script`. */
  readonly page?: string;
  readonly products?: readonly string[];
  /** How long it took. */
  readonly seconds?: number;
  readonly message?: string;
}

/** One line for people: local time, page, and what became of it. */
export function workEventLine({ at, kind, issue, page, products, seconds, message }: WorkEvent): string {
  const about = page === undefined ? '' : ` ${issue} ${subjectText(page, products)}`;
  const took = seconds === undefined ? '' : ` in ${seconds.toFixed(1)} s`;
  const why = message === undefined ? '' : ` (${message.replaceAll(/\s*\n\s*/g, ' | ')})`;
  return `${visible(`${localTime(new Date(at))} ${kind}${about}${took}${why}`)}\n`;
}

function subjectText(page: string, products: readonly string[] = []): string {
  return isSheetName(page) ? page : `page ${page}: ${products.join(', ') || 'looked at'}`;
}

/** The same for machines: one JSON object. */
export function workEventJson(event: WorkEvent): string {
  return `${visible(JSON.stringify(event))}\n`;
}
