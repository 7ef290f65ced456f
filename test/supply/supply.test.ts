import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { packageRoot } from '../../config/package-root.js';
import { type BundleFacts, bundledFolders, missingIn, noticeIn, noticesOf, noticesText } from './notices.js';
import { type LockFile, sbomOf } from './sbom.js';

const inRoot = (...steps: readonly string[]) => join(packageRoot(), ...steps);
const json = async <Type>(path: string) => JSON.parse(await readFile(path, 'utf8')) as Type;
const facts = () => json<BundleFacts>(inRoot('dist', 'programs.json'));
const lockFile = () => json<LockFile>(inRoot('package-lock.json'));

interface Manifest {
  readonly files: readonly string[];
  readonly dependencies: Readonly<Record<string, string>>;
}

describe('the notices that go out beside the programs', () => {
  test('name every package whose code is in a program, with the text of its licence', async () => {
    const notices = noticesOf(await facts(), packageRoot());
    const names = notices.map(({ name }) => name);
    expect(names).toEqual(expect.arrayContaining(['archiver', 'jscolorengine', 'saxes', 'yauzl', 'zod']));
    expect(names).toEqual(expect.arrayContaining(['assemblyscript', 'esbuild']));
    for (const { text } of notices) expect(text.length).toBeGreaterThan(200);
    const written = await readFile(inRoot('dist', 'programs', 'NOTICES.txt'), 'utf8');
    expect(missingIn(written, notices)).toEqual([]);
    const { files } = await json<Manifest>(inRoot('package.json'));
    expect(files).toContain('dist/programs');
  });

  test('tell a package that they leave out, and one whose text they leave out', async () => {
    const notices = noticesOf(await facts(), packageRoot());
    const at = notices.findIndex(({ name }) => name === 'yauzl');
    const { name, version } = notices[at];
    expect(missingIn(noticesText(notices.toSpliced(at, 1)), notices)).toEqual([`${name} ${version}`]);
    const bare = noticesText(notices.with(at, { ...notices[at], text: 'See elsewhere.' }));
    expect(missingIn(bare, notices)).toEqual([`${name} ${version}`]);
  });

  test('count a package inside the folder of another by itself, and code of the project not at all', () => {
    const inputs = { 'cli.ts': {}, 'node_modules/a/node_modules/@b/c/x.js': {}, 'node_modules/a/i.js': {} };
    expect(bundledFolders({ outputs: { 'p.cjs': { inputs } } })).toEqual([
      'node_modules/a',
      'node_modules/a/node_modules/@b/c',
    ]);
  });

  test('are not made while a package brings no text of its licence', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'notice-'));
    const manifest = { name: 'bare', version: '1.0.0', license: 'MIT' };
    await writeFile(join(folder, 'package.json'), JSON.stringify(manifest));
    await writeFile(join(folder, 'README.md'), '# bare\n\n## License\n\nMIT\n');
    expect(() => noticeIn(folder)).toThrow(/bare 1.0.0 brings no licence text/);
    await writeFile(
      join(folder, 'README.md'),
      '# bare\n\n## License\n\nPermission is hereby granted, to all\n',
    );
    expect(noticeIn(folder).text).toBe('Permission is hereby granted, to all');
    await rm(folder, { recursive: true });
  });
});

describe('the bill of materials', () => {
  test('is the same for the same lock file, and the one that the build wrote', async () => {
    const lock = await lockFile();
    expect(JSON.stringify(sbomOf(lock))).toBe(JSON.stringify(sbomOf(lock)));
    expect(await json(inRoot('dist', 'programs', 'sbom.cdx.json'))).toEqual(sbomOf(lock));
    const other = { packages: { ...lock.packages, 'node_modules/new': { version: '1.0.0' } } };
    expect(sbomOf(other).serialNumber).not.toBe(sbomOf(lock).serialNumber);
  });

  // What the schema of CycloneDX 1.6 requires (bom-1.6.schema.json: required fields, patterns and enumerations).
  test('has what CycloneDX 1.6 requires of a document and of each component', async () => {
    const { components, dependencies, ...sbom } = sbomOf(await lockFile());
    expect(sbom).toMatchObject({ bomFormat: 'CycloneDX', specVersion: '1.6', version: 1 });
    expect(sbom.serialNumber).toMatch(
      /^urn:uuid:[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/,
    );
    for (const component of components) {
      expect(component.type).toBe('library');
      expect(component.name).toMatch(/^[^/]+$/);
      expect(component.version).toMatch(/^\d/);
      expect(component.licenses).toHaveLength(1);
      for (const { alg, content } of component.hashes) {
        expect(alg).toBe('SHA-512');
        expect(content).toMatch(/^[a-f0-9]{128}$/);
      }
      expect(component.hashes).toHaveLength(1);
    }
    const refs = components.map((component) => component['bom-ref']);
    expect(new Set(refs).size).toBe(refs.length);
    const known = new Set([...refs, sbom.metadata.component['bom-ref']]);
    for (const { ref, dependsOn } of dependencies)
      expect([ref, ...dependsOn].filter((one) => !known.has(one))).toEqual([]);
    expect(dependencies).toHaveLength(known.size);
  });

  test('holds everything that is installed with platehand, and nothing that only builds it', async () => {
    const { packages } = await lockFile();
    const listed = sbomOf({ packages }).components.map(({ purl }) => purl);
    const { dependencies } = await json<Manifest>(inRoot('package.json'));
    for (const name of Object.keys(dependencies))
      expect(listed).toContain(`pkg:npm/${name}@${packages[`node_modules/${name}`].version}`);
    expect(listed.filter((purl) => /vitest|typescript|biome/.test(purl))).toEqual([]);
    expect(listed).toContain(`pkg:npm/%40img/colour@${packages['node_modules/@img/colour'].version}`);
  });
});

test('libraries whose behaviour is relied on are named by one version', async () => {
  const { dependencies } = await json<Manifest>(inRoot('package.json'));
  for (const name of ['jscolorengine', 'sharp', 'archiver', 'yauzl'])
    expect(dependencies[name]).toMatch(/^\d+\.\d+\.\d+$/);
});
