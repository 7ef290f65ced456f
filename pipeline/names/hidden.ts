/**
 * What lies where nobody can look: a folder that cannot be opened, a file that cannot be looked at. Its absence from a
 * listing says nothing about whether it is gone.
 */

/**
 * Whether a name is hidden, or lies in a folder that is.
 * @param name relative to incoming/; folders end with a slash
 * @param hidden names that a listing could not look at, folders with a final slash
 */
export function isHidden(name: string, hidden: readonly string[]): boolean {
  return hidden.some((each) => name === each || (each.endsWith('/') && name.startsWith(each)));
}
