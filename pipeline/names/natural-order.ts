/** The locale is fixed so that lists stand in the same order on every machine. */
const collator = new Intl.Collator('en', { numeric: true, sensitivity: 'base' });

/**
 * Order of file names for people: `p2` before `p10`, upper and lower case together. Names that differ in case, accents
 * or leading zeros only are then told apart by their code units, so that the order is always the same.
 */
export function compareNaturally(first: string, second: string): number {
  const order = collator.compare(first, second);
  if (order !== 0) return order;
  if (first === second) return 0;
  return first < second ? -1 : 1;
}
