import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { decodePath, encodePath, manifestText, parseManifest, unsafePath } from '../../pipeline/bag/bagit.js';
import { type VerifyReport, verifyBag } from '../../pipeline/bag/verify.js';
import {
  type BagParts,
  bag,
  declaration097,
  manifest,
  sum,
  withTagManifest,
  writeBag,
} from '../helpers/bags.js';
import { makeZip } from '../helpers/zip-parts.js';

/**
 * The rules of BagIt 1.0, RFC 8493 (October 2018), with the section beside each, and cases of the Library of Congress's
 * bagit-conformance-suite, rebuilt here with content of our own but for the named worked values.
 */
let folder = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platehand-bagit-'));
});
afterEach(async () => {
  await rm(folder, { recursive: true, force: true });
});

async function verify(parts: BagParts): Promise<VerifyReport> {
  await writeBag(folder, parts);
  return verifyBag(folder);
}

const problemCodes = async (parts: BagParts): Promise<string[]> =>
  (await verify(parts)).problems.map((problem) => problem.code);

const hello: BagParts = { 'data/hello.txt': 'hello\n' };
const two: BagParts = { 'data/a.tif': 'a', 'data/b.tif': 'b' };

describe('worked values', () => {
  it('sums hello.txt of the suite (v1.0/valid/basicBag) as its manifest does', async () => {
    const line =
      'e7c22b994c59d9cf2b48e549b1e24666636045930d3da7c1acb299d1c3b7f931' +
      'f94aae41edda2c2b207a36e10f8bcb8d45223e54878f5b316e7ce3b6bc019629 data/hello.txt\n';
    const report = await verify(
      bag(hello, { 'manifest-sha512.txt': line, 'bag-info.txt': 'Payload-Oxum: 6.1\n' }),
    );
    expect(report).toMatchObject({ ok: true, version: '1.0', files: 1, bytes: 6, problems: [] });
  });

  it('reads the manifest lines of RFC 8493, section 4.1', () => {
    const text =
      '49afbd86a1ca9f34b677a3f09655eae9 data/27613-h/images/q172.png\n' +
      '408ad21d50cef31da4df6d9ed81b01a7 data/27613-h/images/q172.txt\n';
    expect(parseManifest(text, 'md5')).toEqual([
      {
        checksum: '49afbd86a1ca9f34b677a3f09655eae9',
        path: 'data/27613-h/images/q172.png',
        asterisk: false,
        dotSlash: false,
      },
      {
        checksum: '408ad21d50cef31da4df6d9ed81b01a7',
        path: 'data/27613-h/images/q172.txt',
        asterisk: false,
        dotSlash: false,
      },
    ]);
  });

  it('encodes a percent sign in a name and nothing but line ends beside it (2.1.3; bagit-python issue 157)', () => {
    expect(encodePath('data/file%0A1.txt')).toBe('data/file%250A1.txt');
    expect(encodePath('data/a b\n\r.txt')).toBe('data/a b%0A%0D.txt');
    for (const path of ['data/100 %.tif', 'data/%250A', 'data/a\r\nb', 'data/%']) {
      expect(decodePath(encodePath(path))).toBe(path);
    }
    expect(decodePath('data/%20%0a%0D')).toBe('data/%20\n\r');
  });

  it('writes lines in the order of their bytes, with two spaces as checksum tools do', () => {
    const files = ['data/é', 'data/z', 'data/Z'].map((path) => ({ path, checksum: '00' }));
    expect(manifestText(files)).toBe('00  data/Z\n00  data/z\n00  data/é\n');
  });
});

describe('bags that are valid', () => {
  it.each<[string, BagParts]>([
    ['the smallest one', bag(hello)],
    ['one of version 0.97', bag(hello, { 'bagit.txt': declaration097 })],
    [
      'space around the colon of bagit.txt before 1.0',
      bag(hello, { 'bagit.txt': 'BagIt-Version:  0.96\nTag-File-Character-Encoding:\tUTF-8\n' }),
    ],
    [
      'capital hex digits (2.1.3)',
      bag(hello, { 'manifest-sha512.txt': `${sum('sha512', 'hello\n').toUpperCase()}\tdata/hello.txt\n` }),
    ],
    [
      'CRLF at line ends (2.3)',
      bag(hello, { 'manifest-sha512.txt': manifest('sha512', hello).replace('\n', '\r\n') }),
    ],
    [
      'CR at line ends (2.3)',
      bag(hello, { 'bagit.txt': 'BagIt-Version: 1.0\rTag-File-Character-Encoding: UTF-8\r' }),
    ],
    [
      'no line end after the last line (2.3)',
      bag(hello, { 'manifest-sha512.txt': manifest('sha512', hello).trimEnd() }),
    ],
    [
      'several manifests that agree',
      bag(hello, {
        'manifest-md5.txt': manifest('md5', hello),
        'manifest-sha1.txt': manifest('sha1', hello),
      }),
    ],
    [
      'bag-info labels more than once, and a folded line (2.2.2)',
      bag(hello, { 'bag-info.txt': 'Note: a\nNote: b\n  and c\npayload-oxum: 6.1\n' }),
    ],
    [
      'a name with a line end in it (2.1.3)',
      bag({ 'data/a\nb.tif': 'x' }, { 'manifest-sha512.txt': `${sum('sha512', 'x')} data/a%0Ab.tif\n` }),
    ],
    [
      'payload in only one of two manifests before 1.0 (3)',
      bag(two, { 'bagit.txt': declaration097, 'manifest-md5.txt': manifest('md5', { 'data/a.tif': 'a' }) }),
    ],
    [
      'UTF-16 tag files (suite: v0.97/valid)',
      bag(hello, {
        'bagit.txt': 'BagIt-Version: 0.97\nTag-File-Character-Encoding: UTF-16\n',
        'manifest-sha512.txt': Buffer.from(`\uFEFF${manifest('sha512', hello)}`, 'utf16le'),
      }),
    ],
    [
      'a fetch file whose files are all there',
      bag(hello, { 'fetch.txt': 'http://example.org/hello.txt - data/hello.txt\n' }),
    ],
  ])('accepts %s', async (_name, parts) => {
    const report = await verify(parts);
    expect(report.problems).toEqual([]);
    expect(report.warnings).toEqual([]);
    expect(report.ok).toBe(true);
  });

  it.each(['md5', 'sha1', 'sha224', 'sha256', 'sha384', 'sha512'])('checks %s (2.4)', async (algorithm) => {
    const good = {
      'bagit.txt': declaration097,
      [`manifest-${algorithm}.txt`]: manifest(algorithm, hello),
      ...hello,
    };
    expect((await verify(withTagManifest(good, algorithm))).ok).toBe(true);
    await writeBag(folder, { 'data/hello.txt': 'hallo\n' });
    expect((await verifyBag(folder)).problems.map((problem) => problem.code)).toEqual(['checksum-mismatch']);
  });
});

describe('bags that are not valid', () => {
  const listing = (text: string): BagParts =>
    bag(hello, { 'manifest-sha512.txt': manifest('sha512', hello) + text });
  const hash = sum('sha512', 'hello\n');
  const info = (text: string): BagParts => bag(hello, { 'bag-info.txt': text });
  it.each<[string, BagParts, string]>([
    [
      'space before a colon of bagit.txt (2.1.1; suite: v1.0/invalid)',
      bag(hello, { 'bagit.txt': 'BagIt-Version : 1.0\nTag-File-Character-Encoding : UTF-8\n' }),
      'declaration-invalid',
    ],
    [
      'the same in 0.97 (suite: v0.97/invalid)',
      bag(hello, { 'bagit.txt': 'BagIt-Version : 0.97\nTag-File-Character-Encoding : UTF-8\n' }),
      'declaration-invalid',
    ],
    [
      'two spaces after a colon of bagit.txt (2.1.1)',
      bag(hello, { 'bagit.txt': 'BagIt-Version:  1.0\nTag-File-Character-Encoding: UTF-8\n' }),
      'declaration-invalid',
    ],
    [
      'a third line in bagit.txt (2.1.1)',
      bag(hello, { 'bagit.txt': 'BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\nNote: x\n' }),
      'declaration-invalid',
    ],
    [
      'its lines the other way round (2.1.1)',
      bag(hello, { 'bagit.txt': 'Tag-File-Character-Encoding: UTF-8\nBagIt-Version: 1.0\n' }),
      'declaration-invalid',
    ],
    [
      'a byte-order mark in bagit.txt (2.1.1)',
      bag(hello, { 'bagit.txt': '\uFEFFBagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n' }),
      'declaration-invalid',
    ],
    [
      'a byte-order mark in a UTF-8 manifest (2.3)',
      bag(hello, { 'manifest-sha512.txt': `\uFEFF${manifest('sha512', hello)}` }),
      'byte-order-mark',
    ],
    [
      'a version that does not exist yet',
      bag(hello, { 'bagit.txt': 'BagIt-Version: 2.0\nTag-File-Character-Encoding: UTF-8\n' }),
      'version-unknown',
    ],
    [
      'an encoding that nobody knows',
      bag(hello, { 'bagit.txt': 'BagIt-Version: 1.0\nTag-File-Character-Encoding: TTF-8\n' }),
      'encoding-unknown',
    ],
    [
      'a tag file that is not in the encoding (2.3)',
      bag(hello, { 'bag-info.txt': Buffer.from([0x4e, 0x3a, 0x20, 0xff, 0x0a]) }),
      'tag-unreadable',
    ],
    ['no payload manifest (2.1)', { 'bagit.txt': bag(hello)['bagit.txt'], ...hello }, 'manifest-missing'],
    [
      'no folder data (2.1)',
      { 'bagit.txt': bag(hello)['bagit.txt'], 'manifest-sha512.txt': '' },
      'data-missing',
    ],
    [
      'a payload file missing from one of two manifests (3; suite: v1.0/invalid)',
      bag(two, { 'manifest-md5.txt': manifest('md5', { 'data/a.tif': 'a' }) }),
      'file-unlisted',
    ],
    [
      'a path twice with two checksums (2.1.3; suite: v1.0/invalid)',
      listing(`${sum('sha512', 'x')}  data/hello.txt\n`),
      'path-twice',
    ],
    [
      'a path twice with one checksum (2.1.3; suite: v1.0/invalid)',
      bag(hello, { 'manifest-sha512.txt': manifest('sha512', hello) + manifest('sha512', hello) }),
      'path-twice',
    ],
    ['a checksum that is too short (2.1.3)', listing(`${hash.slice(2)}  data/x\n`), 'manifest-invalid'],
    ['a line without a path (2.1.3)', listing(`${hash}\n`), 'manifest-invalid'],
    ['a path outside data/ in a payload manifest (2.1.3)', listing(`${hash}  bagit.txt\n`), 'path-unsafe'],
    [
      'a path that leads upwards (5.1; suite: v0.97/invalid)',
      listing(`${hash}  data/../../hello.txt\n`),
      'path-unsafe',
    ],
    ['an absolute path (5.1)', listing(`${hash}  /etc/passwd\n`), 'path-unsafe'],
    ['a home folder (5.1)', listing(`${hash}  ~root/x\n`), 'path-unsafe'],
    ['a drive letter (5.1)', listing(`${hash}  C:/x\n`), 'path-unsafe'],
    ['a Windows namespace (5.1)', listing(`${hash}  \\\\?\\C:\\x\n`), 'path-unsafe'],
    [
      'a listed folder (2.1.3)',
      bag(
        { 'data/sub/a.tif': 'a' },
        { 'manifest-sha512.txt': `${manifest('sha512', { 'data/sub/a.tif': 'a' })}${hash}  data/sub\n` },
      ),
      'file-missing',
    ],
    [
      'a tag manifest that leaves out a payload manifest (2.2.1)',
      bag(hello, { 'tagmanifest-sha512.txt': manifest('sha512', { 'bagit.txt': bag(hello)['bagit.txt'] }) }),
      'tagmanifest-incomplete',
    ],
    [
      'a tag manifest that lists the payload (2.2.1)',
      bag(hello, { 'tagmanifest-sha512.txt': manifest('sha512', bag(hello)) }),
      'path-unsafe',
    ],
    ['a Payload-Oxum with too many octets (2.2.2)', info('Payload-Oxum: 7.1\n'), 'oxum-mismatch'],
    ['a Payload-Oxum with too few files (2.2.2)', info('Payload-Oxum: 6.0\n'), 'oxum-mismatch'],
    ['a Payload-Oxum of another form (2.2.2)', info('Payload-Oxum: 6 bytes\n'), 'oxum-invalid'],
    [
      'two Payload-Oxum, though they agree (2.2.2)',
      info('Payload-Oxum: 6.1\nPayload-Oxum: 6.1\n'),
      'oxum-invalid',
    ],
    ['a line of bag-info.txt without a label (2.2.2)', info('just text\n'), 'bag-info-invalid'],
    [
      'a line of a fetch file without a size (2.2.3)',
      bag(hello, { 'fetch.txt': 'http://example.org/hello.txt data/hello.txt\n' }),
      'fetch-invalid',
    ],
    [
      'a fetch file that leads out of the bag (2.2.3, 5.1)',
      bag(hello, { 'fetch.txt': 'http://example.org/x - data/../../x.tif\n' }),
      'fetch-invalid',
    ],
    [
      'a fetch file for what is no payload (2.2.3)',
      bag(hello, { 'fetch.txt': 'http://example.org/x - bag-info.txt\n' }),
      'fetch-invalid',
    ],
    [
      'a fetch file for what no manifest lists (2.2.3)',
      bag(hello, { 'fetch.txt': 'http://example.org/x - data/unlisted.tif\n' }),
      'fetch-invalid',
    ],
    [
      'a fetch file whose files are not there (2.2.3)',
      bag(hello, {
        'manifest-sha512.txt': manifest('sha512', { ...hello, 'data/far.tif': 'far' }),
        'fetch.txt': 'http://example.org/far.tif 3 data/far.tif\n',
      }),
      'fetch-incomplete',
    ],
  ])('refuses %s', async (_name, parts, code) => {
    expect(await problemCodes(parts)).toContain(code);
  });
});

describe('bags that are valid but deserve a warning', () => {
  // U+00FA is one character in NFC (c3 ba) and u with U+0301 in NFD (75 cc 81): RFC 8493, section 6.1.1.
  const nfc = 'data/N\u00fa\u00f1ez.tif';
  const nfd = nfc.normalize('NFD');
  it.each<[string, BagParts, string]>([
    ['names that differ only in case (6.1.1)', bag({ 'data/A.tif': '1', 'data/a.tif': '2' }), 'name-clash'],
    [
      'names that differ only in composition (6.1.1; suite: v0.97/warning)',
      bag({ [nfc]: '1', [nfd]: '2' }),
      'name-clash',
    ],
    [
      'a manifest in NFC for a file in NFD (6.1.1)',
      { ...bag({ [nfc]: '1' }), [nfc]: '', [nfd]: '1' },
      'name-normalisation',
    ],
    [
      'an asterisk before a path (6.1.3)',
      bag(hello, { 'manifest-sha512.txt': `${sum('sha512', 'hello\n')} *data/hello.txt\n` }),
      'manifest-asterisk',
    ],
    [
      'a path twice with one checksum (suite: v0.97/warning/same-filename-listed-twice-with-the-same-hash)',
      bag(hello, {
        'bagit.txt': declaration097,
        'manifest-sha512.txt': manifest('sha512', hello) + manifest('sha512', hello),
      }),
      'path-twice',
    ],
    [
      'paths that begin with ./ (suite: v0.97/valid/bag-with-leading-dot-slash-in-manifest)',
      bag(two, { 'manifest-sha512.txt': manifest('sha512', two).replaceAll('data/', './data/') }),
      'manifest-dot-slash',
    ],
    [
      'files of a system that lie beside the payload',
      { ...withTagManifest(bag(hello)), '.DS_Store': 'x', 'Thumbs.db': 'y' },
      'system-files',
    ],
    [
      'a manifest of checksums that nobody knows (2.4)',
      bag(hello, { 'manifest-whirl9.txt': '00 data/hello.txt\n' }),
      'algorithm-unknown',
    ],
    [
      'a tag file that no tag manifest lists (2.2.1)',
      { ...withTagManifest(bag(hello)), 'late.txt': 'x' },
      'tag-unlisted',
    ],
  ])('accepts %s, and says so', async (_name, parts, code) => {
    const given = { ...parts };
    if (code === 'name-normalisation') delete given[nfc];
    // In a ZIP, because not every file system can hold such names beside each other.
    const path = join(folder, 'bag.zip');
    const entries = Object.entries(given).map(([name, data]) => ({
      name: `bag/${name}`,
      data: Buffer.from(data),
    }));
    await writeFile(path, makeZip(entries));
    const report = await verifyBag(path);
    expect(report.problems).toEqual([]);
    expect(report.warnings.map((warning) => warning.code)).toEqual([code]);
  });
});

describe('a bag that was unpacked and looked at', () => {
  // RFC 8493, section 3: nothing in the payload may be unlisted. The suite has v0.97/warning/special-system-files.
  it('is refused for the files that a system left in it, with the advice to delete them', async () => {
    const parts = bag(hello, { 'bag-info.txt': 'Payload-Oxum: 6.1\n' });
    const report = await verify({ ...parts, 'data/.DS_Store': 'x', 'data/press/._p7.tif': 'y' });
    expect(report.problems.map(({ code }) => code)).toEqual(['system-files']);
    expect(report.problems[0].what).toContain('data/.DS_Store, data/press/._p7.tif');
    expect(report.problems[0].remedy).toMatch(/^Delete these system files and verify again/);
    await rm(join(folder, 'data', '.DS_Store'));
    await rm(join(folder, 'data', 'press'), { recursive: true });
    expect((await verifyBag(folder)).ok).toBe(true);
  });

  it('keeps such a file that the sender did pack, and checks it', async () => {
    const packed = { ...hello, 'data/.DS_Store': 'x' };
    expect(await verify(bag(packed))).toMatchObject({ ok: true, files: 2 });
    await writeBag(folder, { 'data/.DS_Store': 'z' });
    expect((await verifyBag(folder)).problems.map(({ code }) => code)).toEqual(['checksum-mismatch']);
  });

  it('is still refused for any other file that nobody listed', async () => {
    expect(await problemCodes({ ...bag(hello), 'data/p8.tif': 'x' })).toContain('file-unlisted');
  });
});

describe('paths that are safe', () => {
  it.each(['data/a b.tif', 'data/..a/b..c', 'data/~a', 'data/é', 'bag-info.txt', 'data/a:b'])(
    'lets %s pass',
    (path) => {
      expect(unsafePath(path)).toBeUndefined();
    },
  );
});
