import { PlatehandError } from '../../config/errors.js';

/** A small file by which a store is known, so that a mistyped address or a share that is not mounted is refused instead of filled. */

/** Name of the mark, in the store's folder or below its prefix. */
export const markName = 'platehand-store.json';

/** How objects lie in a store; another number means that they lie otherwise. */
const format = 1;

/** What a new store's mark says. */
export const markText = `${JSON.stringify({ format, about: 'Store of platehand: pages and what is made of them' }, null, 2)}\n`;

/** Refuses a store whose mark tells of another way to lie, or of none. @throws PlatehandError `wrong-use` */
export function checkMark(address: string, text: string): void {
  if (formatIn(text) === format) return;
  throw new PlatehandError(
    'wrong-use',
    `The store ${address} was made by another version of platehand, or its ${markName} is damaged`,
    'Use the same version on all machines, or another folder for this one.',
  );
}

/** A place that holds other things and no mark. */
export function notAStore(address: string): PlatehandError {
  return new PlatehandError(
    'wrong-use',
    `${address} is no store of platehand: it holds other things`,
    'Check the address and whether the share is mounted; for a new store name an empty folder, or one that is not there yet.',
  );
}

/** A place where no store is, for whoever may not make one. */
export function noStoreThere(address: string): PlatehandError {
  return new PlatehandError(
    'wrong-use',
    `There is no store at ${address}`,
    'Check the address and whether the share is mounted; a daemon that uses it makes it.',
  );
}

function formatIn(text: string): unknown {
  try {
    return (JSON.parse(text) as { format?: unknown }).format;
  } catch {
    return undefined;
  }
}
