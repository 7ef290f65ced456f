import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { packageRoot } from '../../../config/package-root.js';
import { type FuzzTarget, faultWith, fuzzTargets } from '../../bench/fuzz-targets.js';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'strange-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

/** Inputs that reached code which nothing before them had reached, kept by `npm run fuzz -- --keep`. */
async function keptOf(name: string): Promise<Buffer[]> {
  const text = await readFile(join(packageRoot(), 'test', 'bench', 'fuzz-corpus.txt'), 'utf8');
  const lines = text.split('\n').map((line) => line.split(' '));
  return lines.filter(([target]) => target === name).map(([, input]) => Buffer.from(input, 'base64'));
}

async function faultsOf(target: FuzzTarget, inputs: readonly Buffer[]): Promise<string[]> {
  const faults: string[] = [];
  for (const input of inputs) {
    const fault = await faultWith(target, input, folder);
    if (fault !== undefined) faults.push(`${fault} of ${input.toString('base64')}`);
  }
  return faults;
}

describe('strange bytes are taken in or refused in plain words, and nothing else comes out', () => {
  test.each(Object.keys(fuzzTargets))('%s', async (name) => {
    const kept = await keptOf(name);
    expect(kept.length).toBeGreaterThan(10);
    expect(await faultsOf(fuzzTargets[name], [...(await fuzzTargets[name].seeds()), ...kept])).toEqual([]);
  });

  test('where something else does come out, it is told with its trace', async () => {
    const take = () => Promise.reject(new RangeError('offset out of bounds'));
    const [fault] = await faultsOf({ take, seeds: async () => [], words: [] }, [Buffer.from('x')]);
    expect(fault).toMatch(/^RangeError: offset out of bounds\n.* of eA==$/s);
  });
});
