import { describe, expect, test } from 'vitest';
import { circleIn } from './circles.js';
import { exportedFunctions, interfaceMethods } from './signatures.js';
import { readSource } from './source-tree.js';

const read = (...lines: string[]) => readSource('pipeline/page/page.ts', `${lines.join('\n')}\n`);

describe('imports of a file', () => {
  test('are found however they are written, each once', () => {
    const { imports } = read(
      "import { one } from './one.js';",
      "import type { Two } from '../two.js';",
      "export { three } from '../../config/three.js';",
      "export type { Three } from '../../config/three.js';",
      "export * from './four.js';",
      "const five = await import('./five.js');",
      "type Six = import('../bag/six.js').Six;",
      "import './seven.js';",
    );
    expect([...imports].sort()).toEqual([
      'config/three.ts',
      'pipeline/bag/six.ts',
      'pipeline/page/five.ts',
      'pipeline/page/four.ts',
      'pipeline/page/one.ts',
      'pipeline/page/seven.ts',
      'pipeline/two.ts',
    ]);
  });

  test('are not looked for in texts and comments, nor among packages', () => {
    const { imports } = read(
      "// import { one } from './one.js';",
      'const text = "import { two } from \'./two.js\'";',
      "import sharp from 'sharp';",
      "import { join } from 'node:path';",
    );
    expect(imports).toEqual([]);
  });
});

describe('functions of a file', () => {
  test('are measured from first word to last bracket, whatever brackets stand in their texts', () => {
    const { functions } = read(
      '/** Two lines above',
      ' * do not count. */',
      'export async function one() {',
      `  return '}' + \`}\${'}'}\` + /[}]/.source; // }`,
      '}',
      'const two = (x: number) =>',
      '  x + 1;',
      'class Three {',
      '  four() {}',
      '  get five() {',
      '    return [1].map((each) => each);',
      '  }',
      '}',
    );
    const found = functions.map(({ place, lines, isNamed }) => [place.split(':')[1], lines, isNamed]);
    expect(found).toEqual([
      ['3', 3, true],
      ['6', 2, true],
      ['9', 1, true],
      ['10', 3, true],
      ['11', 1, false],
    ]);
  });
});

test('lines of a file are those that an editor numbers', () => {
  expect(read('const one = 1;', '', 'const two = 2;').lines).toBe(3);
});

describe('doc comments', () => {
  test('belong to what stands right below them', () => {
    const { undocumented } = read(
      '/** Says something. */',
      'export const one = 1;',
      'export const two = 2;',
      '// Not for readers of the interface.',
      'export function three() {}',
      'const four = 4;',
      '/** Of the file. */',
      '',
      '/** Of the type. */',
      'export type Five = number;',
    );
    expect(undocumented).toEqual(['pipeline/page/page.ts:3 two', 'pipeline/page/page.ts:5 three']);
  });

  test('are missed on members of what people fill in, however it is written', () => {
    const members = ['  /** Width in mm. */', '  readonly width: number;', '  readonly height: number;'];
    const { undocumentedMembers } = read(
      'export interface SheetOptions {',
      ...members,
      '}',
      'export type PrintSpec = Base & {',
      ...members,
      '};',
      'export interface Found {',
      ...members,
      '}',
      'interface OwnOptions {',
      ...members,
      '}',
    );
    expect(undocumentedMembers).toEqual([
      'pipeline/page/page.ts:4 SheetOptions.height',
      'pipeline/page/page.ts:9 PrintSpec.height',
    ]);
  });
});

describe('circles', () => {
  const arrows = (list: Readonly<Record<string, readonly string[]>>) =>
    new Map(Object.entries(list).map(([from, to]) => [from, new Set(to)]));

  test('are found, the shortest first', () => {
    expect(circleIn(arrows({ a: ['b'], b: ['c'], c: ['d', 'a'], d: ['c'] }))).toEqual(['c', 'd', 'c']);
    expect(circleIn(arrows({ a: ['b'], b: ['c'], c: ['b', 'a'] }))).toEqual(['b', 'c', 'b']);
    expect(circleIn(arrows({ a: ['b'], b: ['c'], c: ['a'] }))).toEqual(['a', 'b', 'c', 'a']);
    expect(circleIn(arrows({ a: ['a'] }))).toEqual(['a', 'a']);
  });

  test('are not seen where two ways lead to one place', () => {
    expect(circleIn(arrows({ a: ['b', 'c'], b: ['d'], c: ['d'], d: [] }))).toBeUndefined();
  });
});

describe('signatures', () => {
  test('of an interface: methods by name, with parameters in order', () => {
    const text =
      'export interface Kernels { sum(from: number, count: number): number; clear(at: number): void }';
    expect(interfaceMethods(text)).toEqual({ sum: '(from, count): number', clear: '(at): void' });
  });

  test('of what a file exports, with what it passes on and without what it keeps', () => {
    const files: Readonly<Record<string, string>> = {
      'index.ts': "export { sum } from './sums'; export function start(): usize { return 0; }",
      'sums.ts':
        'export function sum(from: usize, count: i32): f64 { return each(from); } ' +
        'export function other(): void {} function each(at: usize): f64 { return 0; }',
    };
    const found = exportedFunctions('index.ts', (path) => files[path]);
    expect(found).toEqual({ sum: '(from, count): number', start: '(): number' });
  });
});
