import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { packageRoot } from '../../../config/package-root.js';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';

/** What the interface declares, by name and number of parameters: the compiler cannot hold it to what assembly/ exports. */
function declared(): [string, number][] {
  const source = readFileSync(join(packageRoot(), 'pipeline', 'kernels', 'kernels.ts'), 'utf8');
  const bodies = source.matchAll(/^(?:export )?interface \w*Kernels(?: extends Kernels)? \{\n(.*?)^\}/gms);
  const methods = [...bodies].flatMap(([, body]) => [...body.matchAll(/^ {2}(\w+)\(([^)]*)\)/gm)]);
  return methods.map(([, name, parameters]) => [name, (parameters.match(/:/g) ?? []).length]);
}

it('the compiled kernels are those that the interface declares, with as many parameters', () => {
  const exported = Object.entries(new PageArena().kernels).filter(([, value]) => typeof value === 'function');
  const compiled = exported.map(([name, kernel]) => [name, kernel.length]);
  expect(declared().length).toBeGreaterThan(30);
  expect(compiled.sort()).toEqual(declared().sort());
});
