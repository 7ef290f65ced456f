import { seededRandom } from './picture-samples.js';
import { claimSize } from './png-fixtures.js';

/** One way to damage a file; `random` gives numbers from 0 below 1. */
type Damage = (bytes: Buffer, random: () => number) => Buffer;

const somewhere = (length: number, random: () => number) => Math.floor(random() * length);

/** A copy that broke off. */
const cutShort: Damage = (bytes, random) => bytes.subarray(0, somewhere(bytes.length, random));

/** Bits that tipped over. */
const flipBits: Damage = (bytes, random) => {
  for (let count = 1 + somewhere(6, random); count > 0; count--) {
    bytes[somewhere(bytes.length, random)] ^= 1 << somewhere(8, random);
  }
  return bytes;
};

/** A stretch that was reserved and never written. */
const zeroStretch: Damage = (bytes, random) => {
  const start = somewhere(bytes.length, random);
  return bytes.fill(0, start, start + 1 + somewhere(bytes.length - start, random));
};

/** Headers that lie: numbers replaced where headers stand, at the front and at the back. */
const lieInHeaders: Damage = (bytes, random) => {
  const reach = Math.min(bytes.length, 260);
  for (let count = 1 + somewhere(3, random); count > 0; count--) {
    const at = random() < 0.5 ? somewhere(reach, random) : bytes.length - 1 - somewhere(reach, random);
    bytes[at] = random() < 0.3 ? 255 : somewhere(256, random);
  }
  return bytes;
};

/** A TIFF directory with one value or count replaced. */
const lieInDirectory: Damage = (bytes, random) => {
  const littleEndian = bytes[0] === 0x49;
  const classic = (littleEndian ? bytes.readUInt16LE(2) : bytes.readUInt16BE(2)) === 42;
  if (!classic) return lieInHeaders(bytes, random);
  const at = littleEndian ? bytes.readUInt32LE(4) : bytes.readUInt32BE(4);
  const fields = littleEndian ? bytes.readUInt16LE(at) : bytes.readUInt16BE(at);
  const field = at + 2 + somewhere(fields, random) * 12 + 4 * (1 + somewhere(2, random));
  const value = [0, 1, 3, 200, 65535, 0x10000, 0x7fffffff, 0xffffffff][somewhere(8, random)];
  littleEndian ? bytes.writeUInt32LE(value, field) : bytes.writeUInt32BE(value, field);
  return bytes;
};

/** A PNG whose sound header claims another size. */
const lieAboutSize: Damage = (bytes, random) => {
  const side = () => [1, 63, 65, 200, 5000, 100_000, 0x7fffffff][somewhere(7, random)];
  return claimSize(bytes, random() < 0.5 ? 64 : side(), random() < 0.5 ? 48 : side());
};

const special: Readonly<Record<string, Damage>> = { tiff: lieInDirectory, png: lieAboutSize };

/** A damaged copy, and whether it was cut short: that is never to pass. */
export interface DamagedCopy {
  readonly bytes: Buffer;
  readonly cut: boolean;
}

/**
 * `count` damaged copies, made from the originals in turn by every kind of damage in turn; the same seed gives the
 * same copies. `format` adds lies of its own: `tiff` in directories, `png` about the size.
 */
export function damagedCopies(
  originals: readonly Buffer[],
  format: string,
  count: number,
  seed: number,
): DamagedCopy[] {
  const random = seededRandom(seed);
  const kinds = [cutShort, flipBits, zeroStretch, lieInHeaders, special[format] ?? flipBits];
  return Array.from({ length: count }, (_, index) => {
    const original = originals[Math.floor(index / kinds.length) % originals.length];
    const kind = kinds[index % kinds.length];
    return { bytes: kind(Buffer.from(original), random), cut: kind === cutShort };
  });
}
