import { spawnSync } from 'node:child_process';
import { describe, expect, test } from 'vitest';
import { openMetrics } from '../../pipeline/queue/open-metrics.js';
import type { QueueView } from '../../pipeline/queue/queue-view.js';
import { busyView, emptyView } from '../helpers/queue-views.js';

/**
 * Source: OpenMetrics 1.0, "Text format" with its ABNF and "MetricFamily" (prometheus.io/docs/specs/om/open_metrics_spec, the text of
 * github.com/prometheus/OpenMetrics); and the parser of Python's prometheus_client, where it is there.
 */

const [worker] = busyView.workers;
const [engine] = busyView.engines;
/** Names that have to be written out, twice the same, and figures that are none. */
const oddView: QueueView = {
  ...busyView,
  engines: [
    { ...engine, engine: 'a"b\\c\nd\re', waiting: Number.NaN, made: -1, failed: Number.POSITIVE_INFINITY },
    { ...engine, engine: 'a"b\\c\nd\re' },
    { ...engine, engine: '', waiting: 1e21, oldestWaitingSeconds: undefined },
  ],
  workers: [worker, worker, { ...worker, id: 'é 版\ud800' }],
};
const views = [
  ['an empty queue', emptyView],
  ['a busy queue', busyView],
  ['odd names and figures', oddView],
] as const;

const name = '[a-zA-Z_:][a-zA-Z0-9_:]*';
const text = String.raw`(?:[^\n"\\]|\\[n"\\])*`;
const label = `[a-zA-Z_][a-zA-Z0-9_]*="${text}"`;
const number = String.raw`[-+]?(?:\d+|\d+\.\d*(?:e[-+]?\d+)?|\d*\.\d+(?:e[-+]?\d+)?|\d+e[-+]?\d+)`;
const typeRow = new RegExp(`^# TYPE (${name}) (counter|gauge)$`);
const unitRow = new RegExp(`^# UNIT (${name}) ([a-z]+)$`);
const helpRow = new RegExp(`^# HELP (${name}) (${text})$`);
const sampleRow = new RegExp(`^(${name})((?:\\{(?:${label}(?:,${label})*)?\\})?) (${number})$`, 'i');

describe.each(views)('the figures of %s, by the specification', (_, view) => {
  const exposition = openMetrics(view);
  const rows = exposition.split('\n');

  test('end with EOF, and have no carriage return and no mark of the byte order', () => {
    expect(exposition).toMatch(/\n# EOF\n$/);
    expect(exposition).not.toMatch(/[\r\ufeff]/);
    expect(rows.filter((row) => row === '# EOF')).toHaveLength(1);
    expect(Buffer.from(exposition).toString('utf8')).toBe(exposition);
  });

  test('consist of families that are not interleaved: TYPE, UNIT, HELP, samples, each family and label set once', () => {
    const families = new Map<string, string>();
    const seen = new Set<string>();
    let family = '';
    let stage = 0;
    for (const row of rows.slice(0, -2)) {
      const [, typed, type] = typeRow.exec(row) ?? [];
      const [, united, unit] = unitRow.exec(row) ?? [];
      const [, helped] = helpRow.exec(row) ?? [];
      const [, sampled, labels = '', value] = sampleRow.exec(row) ?? [];
      const now = [typed, united, helped, sampled].findIndex((each) => each !== undefined);
      expect(now, row).toBeGreaterThanOrEqual(0);
      if (typed !== undefined) {
        expect(families.has(typed), row).toBe(false);
        families.set(typed, type);
        family = typed;
      } else {
        expect(now, row).toBeGreaterThanOrEqual(now === 3 ? stage : stage + 1);
      }
      stage = now;
      if (united !== undefined) expect([united, united.endsWith(`_${unit}`)], row).toEqual([family, true]);
      if (helped !== undefined) expect(helped).toBe(family);
      if (sampled === undefined) continue;
      expect(sampled, row).toBe(families.get(family) === 'counter' ? `${family}_total` : family);
      expect(seen.has(sampled + labels), row).toBe(false);
      seen.add(sampled + labels);
      expect(Number(value), row).toBeGreaterThanOrEqual(0);
    }
    expect(families.size).toBeGreaterThan(10);
  });
});

describe('the figures of a queue', () => {
  test('name no page, issue or file, and say per version what waits', () => {
    const exposition = openMetrics(busyView);
    expect(exposition).not.toMatch(/QRY02|12-13|profile/);
    for (const row of [
      'platehand_queue_paused 1',
      'platehand_pages_waiting{engine="0.1.0.16"} 3',
      'platehand_pages_in_hand{engine="0.1.0.16"} 2',
      'platehand_pages_made_total{engine="0.1.0.16"} 410',
      'platehand_pages_failed_total{engine="0.1.0.15"} 0',
      'platehand_oldest_waiting_seconds{engine="0.1.0.16"} 252.5',
      '# UNIT platehand_oldest_waiting_seconds seconds',
      'platehand_workers{engine="0.1.0.16"} 2',
      'platehand_workers{engine="0.1.0.15"} 0',
      'platehand_worker_pixels_in_hand{engine="0.1.0.16",worker="studio3-4711"} 120400000',
      'platehand_worker_in_trouble{engine="0.1.0.16",worker="b-9"} 1',
    ]) {
      expect(exposition.split('\n')).toContain(row);
    }
  });

  test('are no more series than there may be machines, whatever is on the queue', () => {
    const workers = Array.from({ length: 5000 }, (_, i) => ({ ...worker, id: `w${i}`, engine: `e${i}` }));
    const engines = workers.map((each) => ({ ...engine, engine: each.engine }));
    expect(openMetrics({ ...busyView, workers, engines }).split('\n').length).toBeLessThan(4000);
  });
});

const program = `
import sys
from prometheus_client.openmetrics.parser import text_string_to_metric_families
text = sys.stdin.buffer.read().decode("utf-8")
print(sum(len(family.samples) for family in text_string_to_metric_families(text)))
`;
const hasParser = spawnSync('python3', ['-c', 'import prometheus_client']).status === 0;
const reason = hasParser ? '' : ' (skipped: python3 with prometheus_client is not here)';

test.skipIf(!hasParser).each(views)(`the figures of %s are read by prometheus_client${reason}`, (_, view) => {
  const exposition = openMetrics(view);
  const samples = exposition.split('\n').filter((row) => /^[a-z]/.test(row)).length;
  const { stdout, stderr } = spawnSync('python3', ['-c', program], { input: exposition, encoding: 'utf8' });
  expect(stderr).toBe('');
  expect(Number(stdout)).toBe(samples);
});
