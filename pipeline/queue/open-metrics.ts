import { visible } from '../../config/visible-text.js';
import type { EngineQueue, QueueView, WorkerNews } from './queue-view.js';

/**
 * A queue in figures for whoever gathers them, in the text format OpenMetrics 1.0. No page, file or issue is named: labels are versions of
 * the engine and workers alone, so that there are no more series than machines.
 */

/** As HTTP names the format. */
export const openMetricsType = 'application/openmetrics-text; version=1.0.0; charset=utf-8';

/** More engines or workers than these are left out: what others put on the queue makes no more series than this. */
const mostEngines = 50;
const mostWorkers = 500;

type Labels = Readonly<Record<string, string>>;
type Sample = readonly [labels: Labels, value: number];

interface Family {
  /** A counter's without `_total`. */
  readonly name: string;
  readonly type: 'gauge' | 'counter';
  /** The end of the name; where it is left out, the name ends in no unit. */
  readonly unit?: string;
  readonly help: string;
  readonly samples: readonly Sample[];
}

/** The figures of a queue as text. */
export function openMetrics(view: QueueView): string {
  const lines = [...queueFamilies(view), ...engineFamilies(view), ...workerFamilies(view)].flatMap(linesOf);
  return `${lines.join('\n')}\n# EOF\n`;
}

function queueFamilies({ paused, watchers, failures, warnings }: QueueView): Family[] {
  const one = (name: string, help: string, value: number): Family => {
    return { name, type: 'gauge', help, samples: [[{}, value]] };
  };
  return [
    one('platehand_queue_paused', 'Whether no page is begun, 1 or 0', paused ? 1 : 0),
    one('platehand_watchers', 'Daemons that put pages on the queue', watchers.length),
    one('platehand_failures_remembered', 'Pages that came to nothing, as far as remembered', failures.length),
    one('platehand_warnings', 'What somebody should look at', warnings.length),
  ];
}

function engineFamilies({ engines, workers }: QueueView): Family[] {
  const known = each(engines, ({ engine }) => engine, mostEngines);
  const of = (value: (queue: EngineQueue) => number) =>
    known.map((queue): Sample => [{ engine: queue.engine }, value(queue)]);
  const gauge = (name: string, help: string, value: (queue: EngineQueue) => number): Family => {
    return { name, type: 'gauge', help, samples: of(value) };
  };
  const counter = (name: string, help: string, value: (queue: EngineQueue) => number): Family => {
    return { name, type: 'counter', help, samples: of(value) };
  };
  const oldest = gauge(
    'platehand_oldest_waiting_seconds',
    'How long the oldest waiting page has waited; 0 where none waits',
    ({ oldestWaitingSeconds }) => oldestWaitingSeconds ?? 0,
  );
  return [
    gauge('platehand_pages_waiting', 'Pages that no worker has begun', ({ waiting }) => waiting),
    gauge('platehand_pages_in_hand', 'Pages that a worker is at', ({ inHand }) => inHand),
    counter('platehand_pages_made', 'Pages made since the queue was made', ({ made }) => made),
    counter(
      'platehand_pages_failed',
      'Pages that came to nothing since the queue was made',
      (queue) => queue.failed,
    ),
    gauge('platehand_pages_made_last_hour', 'Pages made within the last hour', (queue) => queue.madeLastHour),
    { ...oldest, unit: 'seconds' },
    {
      name: 'platehand_workers',
      type: 'gauge',
      help: 'Workers that are there',
      samples: workersByEngine(workers, known),
    },
  ];
}

/** An engine that has pages and no worker shows as 0. */
function workersByEngine(workers: readonly WorkerNews[], engines: readonly EngineQueue[]): Sample[] {
  const counts = new Map(engines.map(({ engine }) => [engine, 0]));
  for (const { engine } of workers) counts.set(engine, (counts.get(engine) ?? 0) + 1);
  return [...counts].slice(0, mostEngines).map(([engine, count]) => [{ engine }, count]);
}

function workerFamilies({ workers }: QueueView): Family[] {
  const known = each(workers, ({ id }) => id, mostWorkers);
  const gauge = (name: string, help: string, value: (worker: WorkerNews) => number): Family => {
    const samples = known.map(
      (worker): Sample => [{ engine: worker.engine, worker: worker.id }, value(worker)],
    );
    return { name: `platehand_worker_${name}`, type: 'gauge', help, samples };
  };
  return [
    gauge('pages_in_hand', 'Pages that this worker is at', ({ inHand }) => inHand.length),
    gauge('pages_at_most', 'Pages that this worker takes at a time', ({ jobs }) => jobs),
    gauge('pixels_in_hand', 'Pixels of the pages that this worker is at', ({ pixelsInHand }) => pixelsInHand),
    gauge('pixels_at_most', 'Pixels that this worker takes at a time', ({ pixelBudget }) => pixelBudget),
    gauge('in_trouble', 'Whether this worker takes nothing just now, 1 or 0', (worker) =>
      worker.trouble === undefined ? 0 : 1,
    ),
  ];
}

/** Each once, as two series of the same labels are none: of several by the same name the first. */
function each<T>(all: readonly T[], nameOf: (one: T) => string, most: number): readonly T[] {
  const byName = new Map<string, T>();
  for (const one of all) if (!byName.has(nameOf(one)) && byName.size < most) byName.set(nameOf(one), one);
  return [...byName.values()];
}

function linesOf({ name, type, unit, help, samples }: Family): string[] {
  const end = type === 'counter' ? '_total' : '';
  const unitLine = unit === undefined ? [] : [`# UNIT ${name} ${unit}`];
  const rows = samples.map(([labels, value]) => `${name}${end}${labelText(labels)} ${figure(value)}`);
  return [`# TYPE ${name} ${type}`, ...unitLine, `# HELP ${name} ${escaped(help)}`, ...rows];
}

function labelText(labels: Labels): string {
  const texts = Object.entries(labels).map(([name, value]) => `${name}="${escaped(visible(value))}"`);
  return texts.length === 0 ? '' : `{${texts.join(',')}}`;
}

/** Backslash, quotation mark and line feed are written out, in labels and help alike. */
function escaped(text: string): string {
  return text.replace(/\\/g, '\\\\').replace(/"/g, '\\"').replace(/\n/g, '\\n');
}

/** Nothing here is below 0, and a counter may not be NaN. */
function figure(value: number): string {
  return String(Number.isFinite(value) ? Math.max(0, value) : 0);
}
