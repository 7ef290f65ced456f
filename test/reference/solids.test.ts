import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { ciede2000, type Lab } from '../../config/press/ciede2000.js';
import { exactTransform, loadProfile } from '../../config/press/colour-engine.js';
import { pressCatalogue } from '../../config/press/press-conditions.js';
import { openPress } from '../../config/press.js';

// Paper, solids and overprints as in the characterization data sets CGATS TR 002, 003, 005, 006 and FOGRA29L, 30L, 39L,
// from the .ti3 files of Debian's icc-profiles-free 2.0.1 (D50, 2 degrees). Lab as measured, absolute.
const rows = readFileSync(new URL('solids.csv', import.meta.url), 'utf8')
  .trim()
  .split('\n')
  .slice(1)
  .map((line) => line.split(','));

const dataSetOf: Record<string, string> = {
  'cgats-tr002': 'TR002',
  'cgats-tr003': 'TR003',
  'cgats-tr005': 'TR005',
  'cgats-tr006': 'TR006',
  fogra29l: 'FOGRA29L',
  fogra30l: 'FOGRA30L',
  fogra39l: 'FOGRA39L',
};

/**
 * A profile smooths what was measured. Newsprint gets more: the data set repeats its solids with up to 1 L between them.
 */
const limitOf = (name: string) => (name === 'cgats-tr002' ? 0.8 : 0.5);

describe.each(pressCatalogue().map((entry) => entry.name))('the profile of %s', (name) => {
  const patches = rows.filter((row) => row[0] === dataSetOf[name]);

  it('has its twelve patches to go by', () => {
    expect(patches.length).toBe(12);
  });

  it('shows paper, solids and overprints as its data set has them', async () => {
    const press = await openPress({ kind: 'shipped', name });
    const from = loadProfile(press.profile);
    const toLab = exactTransform({ from, to: 'lab', intent: 'absolute', blackPointCompensation: false });
    for (const row of patches) {
      const [l = 0, a = 0, b = 0] = toLab(row.slice(2, 6).map((percent) => Number(percent) / 100));
      const difference = ciede2000(
        [l * 100, a * 255 - 128, b * 255 - 128],
        row.slice(6, 9).map(Number) as unknown as Lab,
      );
      expect(difference, `${row[1]} of ${name}`).toBeLessThan(limitOf(name));
    }
  });
});
