/** Names of attacks that the product does not withstand yet, each to be taken out with what mends it; empty is the aim. */
const known: readonly RegExp[] = [];

/** Whether what is found in an attack is known and being mended. */
export function isKnown(name: string): boolean {
  return known.some((pattern) => pattern.test(name));
}
