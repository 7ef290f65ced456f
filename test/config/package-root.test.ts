import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, parse } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { packageRoot, packageVersion } from '../../config/package-root.js';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'package-root-'));
  mkdirSync(join(folder, 'node_modules', 'platehand', 'dist', 'programs'), { recursive: true });
});
afterEach(() => rmSync(folder, { recursive: true }));

describe("the folder of platehand's own files", () => {
  test('is found from where its code runs, and states a version', () => {
    expect(packageRoot(join(packageRoot(), 'dist', 'programs'))).toBe(packageRoot());
    expect(packageVersion()).toMatch(/^\d+\.\d+\.\d+/);
  });

  test.each([
    ["somebody else's", '{"name": "letters", "version": "9.0.0"}'],
    ['empty', ''],
    ['of no use', 'null'],
  ])('is looked for above a package.json that is %s', (_what, text) => {
    const root = join(folder, 'node_modules', 'platehand');
    writeFileSync(join(root, 'package.json'), '{"name": "platehand", "version": "1.2.3"}');
    writeFileSync(join(root, 'dist', 'package.json'), text);
    expect(packageRoot(join(root, 'dist', 'programs'))).toBe(root);
  });

  test('is missed with advice, and looking ends at the root', () => {
    writeFileSync(join(folder, 'package.json'), '{"name": "letters", "version": "9.0.0"}');
    const from = join(folder, 'node_modules', 'platehand', 'dist');
    const refusal = { code: 'installation-broken', remedy: expect.stringMatching(/Install platehand again/) };
    expect(() => packageRoot(from)).toThrow(expect.objectContaining(refusal));
    expect(() => packageRoot(parse(from).root)).toThrow(expect.objectContaining(refusal));
  });
});
