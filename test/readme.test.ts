import { execFile } from 'node:child_process';
import { existsSync, readdirSync } from 'node:fs';
import { mkdir, readFile, rm, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, describe, expect, test } from 'vitest';
import { packageRoot } from '../config/package-root.js';

/** Inside the package, so that `platehand` is found by its name, through the exports of package.json, as users find it. */
const folder = join(packageRoot(), 'dist', `readme-${process.pid}`);

/** Stricter than most users are. */
const tsconfig = {
  compilerOptions: {
    target: 'ES2023',
    module: 'NodeNext',
    types: ['node'],
    strict: true,
    exactOptionalPropertyTypes: true,
    noUnusedLocals: true,
    noEmit: true,
    skipLibCheck: true,
  },
  include: ['*.mts'],
};

afterAll(() => rm(folder, { recursive: true, force: true }));

/** What the compiler says of some programs; nothing where it takes them. */
async function compiled(...programs: readonly string[]): Promise<string> {
  await rm(folder, { recursive: true, force: true });
  await mkdir(folder);
  await writeFile(join(folder, 'tsconfig.json'), JSON.stringify(tsconfig));
  for (const [at, text] of programs.entries()) await writeFile(join(folder, `${at + 1}.mts`), text);
  const compiler = join(packageRoot(), 'node_modules', 'typescript', 'bin', 'tsc');
  try {
    await promisify(execFile)(process.execPath, [compiler, '-p', folder, '--pretty', 'false']);
    return '';
  } catch (thrown) {
    return (thrown as { stdout: string }).stdout;
  }
}

test("README's examples in TypeScript compile against what the package gives", async () => {
  const readme = await readFile(join(packageRoot(), 'README.md'), 'utf8');
  const examples = [...readme.matchAll(/^```ts\n(.*?)^```$/gms)].map(([, text]) => text);
  expect(examples).not.toHaveLength(0);
  for (const each of examples) expect(each).toContain("from 'platehand'");
  expect(await compiled(...examples)).toBe('');
});

test('an example that asks for what the package does not give is refused', async () => {
  const said = await compiled(
    "import { loadJob } from 'platehand';\nconst job = await loadJob('tdl03');\njob.foldr;\n",
  );
  expect(said).toMatch(/^\S*1\.mts\(3,5\): error TS2551: .*foldr/);
  expect(said.trim().split('\n')).toHaveLength(1);
});

describe('pages for people', () => {
  const folders = ['config', 'pipeline', 'watch', 'sample-job', 'test'];
  const files = folders.flatMap((folder) =>
    readdirSync(join(packageRoot(), folder), { recursive: true, encoding: 'utf8' }).map(
      (name) => `${folder}/${name.replaceAll('\\', '/')}`,
    ),
  );
  const inRoot = readdirSync(packageRoot()).filter((name) => /\.(?:md|ts)$/.test(name));
  const pages = [...inRoot, ...files].filter((path) => path.endsWith('.md'));
  /** Named where DEVELOPERS.md shows how a product and a stage would be added. */
  const yetToCome = ['pipeline/outputs/web.ts', 'pipeline/trap.ts'];
  const isThere = (name: string) =>
    [...inRoot, ...files, ...yetToCome].some((path) => `/${path}`.endsWith(`/${name}`));

  test.each(pages)('%s names and links only what is there', async (page) => {
    const text = await readFile(join(packageRoot(), page), 'utf8');
    const liesThere = (path: string) => existsSync(join(packageRoot(), dirname(page), path));
    const named = [...text.matchAll(/`([\w./-]+\.ts)`/g)].map(([, name]) => name);
    expect(named.filter((name) => !isThere(name) && !liesThere(name))).toEqual([]);
    const links = [...text.matchAll(/\]\(([^)#:]+)(?:#[^)]*)?\)/g)].map(([, link]) => link);
    expect(links.filter((link) => !liesThere(link))).toEqual([]);
  });
});
