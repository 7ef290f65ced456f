/** What changes an input a little; `below` gives whole numbers from 0 up to a limit. */
type Mutation = (input: Buffer, below: (limit: number) => number, mutant: Material) => Buffer;

/** What mutations may take from. */
export interface Material {
  readonly words: readonly string[];
  /** Another input that was worth keeping. */
  readonly other: Buffer;
}

/** Numbers at which programs change their mind. */
const edges = [
  0, 1, 2, 7, 8, 0x7f, 0x80, 0xff, 0x100, 0x7fff, 0x8000, 0xffff, 0x10000, 0x7fffffff, 0x80000000, 0xffffffff,
];

/** Inputs grow no larger, so that each takes a moment. */
const mostBytes = 16_384;

const flipBit: Mutation = (input, below) => {
  if (input.length > 0) input[below(input.length)] ^= 1 << below(8);
  return input;
};

const setByte: Mutation = (input, below) => {
  if (input.length > 0) input[below(input.length)] = below(256);
  return input;
};

/** A number of one, two or four bytes, in either order. */
const setEdge: Mutation = (input, below) => {
  const bytes = [1, 2, 4][below(3)];
  if (input.length < bytes) return input;
  const at = below(input.length - bytes + 1);
  const value = edges[below(edges.length)] % 2 ** (8 * bytes);
  if (below(2) === 0) input.writeUIntLE(value, at, bytes);
  else input.writeUIntBE(value, at, bytes);
  return input;
};

const addToByte: Mutation = (input, below) => {
  if (input.length > 0) input[below(input.length)] += 1 + below(16);
  return input;
};

const takeOut: Mutation = (input, below) => {
  const at = below(input.length + 1);
  return Buffer.concat([input.subarray(0, at), input.subarray(at + 1 + below(64))]);
};

const cutShort: Mutation = (input, below) => input.subarray(0, below(input.length + 1));

const insert = (input: Buffer, at: number, what: Uint8Array) =>
  Buffer.concat([input.subarray(0, at), what, input.subarray(at)]);

const repeat: Mutation = (input, below) => {
  const at = below(input.length + 1);
  const piece = input.subarray(at, at + 1 + below(128));
  return insert(input, at, Buffer.concat(new Array<Buffer>(1 + below(8)).fill(piece)));
};

const putWord: Mutation = (input, below, { words }) => {
  const text = words[below(words.length)];
  // Words of bytes are written as such; letters beyond are meant as text.
  const word = Buffer.from(text, /[\u0100-\uffff]/.test(text) ? 'utf8' : 'latin1');
  const at = below(input.length + 1);
  if (below(2) === 0) return insert(input, at, word);
  word.copy(input, at);
  return input;
};

const splice: Mutation = (input, below, { other }) => {
  const from = below(other.length + 1);
  const piece = other.subarray(from, from + 1 + below(256));
  return insert(input, below(input.length + 1), piece);
};

const crossOver: Mutation = (input, below, { other }) =>
  Buffer.concat([input.subarray(0, below(input.length + 1)), other.subarray(below(other.length + 1))]);

const mutations: readonly Mutation[] = [
  ...[flipBit, setByte, setEdge, setEdge, addToByte, takeOut],
  ...[cutShort, repeat, putWord, putWord, splice, crossOver],
];

/** A changed copy: one to eight changes on top of each other. */
export function mutated(input: Buffer, random: () => number, material: Material): Buffer {
  const below = (limit: number) => Math.floor(random() * limit);
  let copy: Buffer = Buffer.from(input);
  for (let left = 1 << below(4); left > 0; left--)
    copy = Buffer.from(mutations[below(mutations.length)](copy, below, material).subarray(0, mostBytes));
  return copy;
}
