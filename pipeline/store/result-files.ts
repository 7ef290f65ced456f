import { join } from 'node:path';
import { writeWhole } from '../files/atomic.js';
import { standingText } from '../files/standing-files.js';
import type { PageResult, PageSketch, PageTraces, TracedPart } from '../model/page-result.js';
import type { StoredResult } from './result-store.js';

/**
 * A result as it lies in its folder: what it says in `result.json`, and its sketches in a file of their own. Every look at an issue reads
 * the first of each page; the second is twice as long, and needed only when a new version is held against the last.
 */

const resultName = 'result.json';
const sketchesName = 'sketches.json';

type Sketches = Partial<Record<TracedPart, PageSketch>>;

/**
 * Writes both files.
 * @returns the result as it will be read again
 * @throws PlatehandError `write-failed`
 */
export async function writeResult(
  folder: string,
  stored: Omit<StoredResult, 'folder'>,
): Promise<Omit<StoredResult, 'folder'>> {
  const { traces } = stored.result;
  const sketches: Sketches = {};
  for (const [part, trace] of tracesIn(traces)) if (trace?.sketch) sketches[part] = trace.sketch;
  const result = withoutSketches(stored.result);
  await writeJson(join(folder, sketchesName), sketches);
  await writeJson(join(folder, resultName), { ...stored, result });
  return { ...stored, result };
}

/** The result in a folder, without its sketches; undefined where none is there, or one that was torn by a crash in mid-write. */
export async function readResult(folder: string): Promise<StoredResult | undefined> {
  try {
    return { ...((await readJson(join(folder, resultName))) as Omit<StoredResult, 'folder'>), folder };
  } catch {
    return undefined;
  }
}

/** A result with its sketches, as far as they can be read: without them versions are told apart, but not laid on each other. */
export async function readSketches(stored: StoredResult): Promise<StoredResult> {
  const { result, folder } = stored;
  try {
    const sketches = (await readJson(join(folder, sketchesName))) as Sketches;
    return { ...stored, result: { ...result, traces: withSketches(result.traces, sketches) } };
  } catch {
    return stored;
  }
}

/** A result without its sketches. */
export function withoutSketches(result: PageResult): PageResult {
  return { ...result, traces: withSketches(result.traces, {}) };
}

function withSketches(traces: PageTraces | undefined, sketches: Sketches): PageTraces | undefined {
  if (traces === undefined) return undefined;
  const each = tracesIn(traces).map(([part, trace]) => [part, trace && { ...trace, sketch: sketches[part] }]);
  return Object.fromEntries(each) as PageTraces;
}

function tracesIn(traces: PageTraces | undefined) {
  return Object.entries(traces ?? {}) as [TracedPart, PageTraces[TracedPart]][];
}

async function writeJson(path: string, value: unknown): Promise<void> {
  await writeWhole(path, Buffer.from(`${JSON.stringify(value)}\n`));
}

async function readJson(path: string): Promise<unknown> {
  return JSON.parse((await standingText(path)) ?? '');
}
