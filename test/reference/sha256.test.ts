import { createHash } from 'node:crypto';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { writeBundle } from '../../pipeline/bag/bundle.js';

/**
 * Checksums against published vectors, through the bundle, so that what stands in a manifest is what is tested.
 * Source: FIPS 180-4 with NIST's example messages for SHA-256 and SHA-512 (csrc.nist.gov, 'Cryptographic Standards and
 * Guidelines: Examples with Intermediate Values').
 */
const vectors: [name: string, message: Buffer, sha256: string][] = [
  ['abc', Buffer.from('abc'), 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'],
  ['empty', Buffer.alloc(0), 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855'],
  [
    'two-blocks',
    Buffer.from('abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq'),
    '248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1',
  ],
  [
    'million-a',
    Buffer.alloc(1_000_000, 'a'),
    'cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0',
  ],
];

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platehand-sha-'));
});
afterAll(async () => {
  await rm(folder, { recursive: true, force: true });
});

describe('SHA-256 in a bundle', () => {
  it.each(vectors)('agrees with FIPS 180-4 for %s', async (name, bytes, expected) => {
    const files = [{ path: `${name}.bin`, source: { bytes } }];
    const report = await writeBundle(join(folder, `${files[0].path}.zip`), {
      name: 'b',
      day: '2026-11-20',
      info: [],
      files,
    });
    expect(report.files[0].sha256).toBe(expected);
  });

  it('accepts the vector as the sum known beforehand, and refuses its neighbour', async () => {
    const [name, bytes, sha256] = vectors[0];
    const bundle = (given: string): Promise<unknown> =>
      writeBundle(join(folder, `${given}.zip`), {
        name: 'b',
        day: '2026-11-20',
        info: [],
        files: [{ path: name, source: { bytes }, sha256: given }],
      });
    await expect(bundle(sha256.toUpperCase())).resolves.toBeDefined();
    await expect(bundle(sha256.replace('ba', 'bb'))).rejects.toThrow(/not as it was/);
  });
});

describe('the checksums of the system that verification relies on', () => {
  it('computes SHA-512 as FIPS 180-4', () => {
    expect(createHash('sha512').update('abc').digest('hex')).toBe(
      'ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a' +
        '2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f',
    );
  });

  it('computes the CRC-32 of ZIP', () => {
    // The customary check value of this CRC (polynomial of APPNOTE 4.4.7), computed over the nine digits.
    expect(crc32('123456789')).toBe(0xcbf43926);
    expect(crc32('6789', crc32('12345'))).toBe(0xcbf43926);
  });
});
