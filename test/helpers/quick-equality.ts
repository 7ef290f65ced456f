import { expect } from 'vitest';

/**
 * Pictures are compared whole, and element by element a page takes seconds. Loaded before every test file (vitest.config.ts): samples
 * of one kind are compared as the bytes that they are, with the same verdict. Whatever else is compared, and numbers with fractions,
 * whose equal values may have unequal bytes, go the usual way.
 */

const sampleKinds = [
  Uint8Array,
  Uint8ClampedArray,
  Int8Array,
  Uint16Array,
  Int16Array,
  Uint32Array,
  Int32Array,
];

type Samples = InstanceType<(typeof sampleKinds)[number]>;

function areSamples(value: unknown): value is Samples {
  return sampleKinds.some((kind) => value instanceof kind);
}

const asBytes = ({ buffer, byteOffset, byteLength }: Samples) => Buffer.from(buffer, byteOffset, byteLength);

/** @returns undefined where the usual comparison is to tell */
export function sameSamples(one: unknown, other: unknown): boolean | undefined {
  if (!areSamples(one) || !areSamples(other) || one.constructor !== other.constructor) return undefined;
  return asBytes(one).equals(asBytes(other));
}

/** Files that share a process load this for each of them, and what was added stays: once is enough. */
const added = Symbol.for('platehand samples compared as bytes');
if (!(added in globalThis)) expect.addEqualityTesters([sameSamples]);
Object.assign(globalThis, { [added]: true });
