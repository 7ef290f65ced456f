/** What JSON from the queue may hold at all, before any field of it is looked at. */

/** Steps from the outermost value to the innermost: a request has five. */
const deepest = 12;
/** Values in all: a request of a page with a thousand notes has some 20,000. */
const mostValues = 100_000;
/** Characters of all texts together: what job.yaml and notes can bring, several times over. */
const mostCharacters = 2 ** 21;
/** Names that objects have of themselves. */
const reservedNames = new Set(['__proto__', 'constructor', 'prototype']);

/** Where something is wrong, and why in a few words that follow the field's name. */
export interface PlainTrouble {
  readonly path: readonly PropertyKey[];
  readonly why: string;
}

interface Visit {
  readonly value: unknown;
  readonly path: readonly PropertyKey[];
}

/** What is wrong with a value as plain data; undefined where nothing is. It takes no longer than its bounds allow. */
export function plainTrouble(value: unknown): PlainTrouble | undefined {
  const left = [{ value, path: [] }] as Visit[];
  let values = 0;
  let characters = 0;
  for (let visit = left.pop(); visit !== undefined; visit = left.pop()) {
    const { path } = visit;
    const why = reasonAgainst(visit);
    if (why !== undefined) return { path, why };
    characters += typeof visit.value === 'string' ? visit.value.length : 0;
    const inside = valuesIn(visit.value);
    values += inside.length;
    characters += inside.reduce((sum, [name]) => sum + name.length, 0);
    if (values > mostValues || characters > mostCharacters) return { path, why: 'is too much' };
    for (const [name, each] of inside) left.push({ value: each, path: [...path, name] });
  }
  return undefined;
}

function valuesIn(value: unknown): [string, unknown][] {
  return typeof value === 'object' && value !== null ? Object.entries(value) : [];
}

function reasonAgainst({ value, path }: Visit): string | undefined {
  if (path.length > deepest) return 'is too deep';
  const name = path.at(-1);
  if (typeof name === 'string' && reservedNames.has(name)) return 'is a name that nothing may have';
  if (value === null) return 'is null';
  if (typeof value === 'number') return Number.isFinite(value) ? undefined : 'is no finite number';
  if (['string', 'boolean', 'undefined'].includes(typeof value)) return undefined;
  // A list that is longer than all may be together is not looked through.
  if (Array.isArray(value)) return value.length > mostValues ? 'is too much' : undefined;
  const isPlain = typeof value === 'object' && Object.getPrototypeOf(value) === Object.prototype;
  return isPlain ? undefined : 'is no plain data';
}
