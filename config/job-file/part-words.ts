import { type Part, parts } from '../job.js';

/**
 * Words in file and layer names that tell a part, lower case; the `parts` section of job.yaml adds to them.
 * Common practice among colourists and letterers, no published source. `flats` are work in progress and never printed.
 */
export const builtInPartWords: Readonly<Record<Part, readonly string[]>> = {
  colour: [
    'colour',
    'colours',
    'coloured',
    'color',
    'colors',
    'colored',
    'col',
    'cols',
    'clr',
    'paint',
    'painted',
  ],
  line: ['line', 'lines', 'lineart', 'linework', 'ink', 'inks', 'inked', 'bw', 'black', 'blacks'],
  lettering: [
    'lettering',
    'letters',
    'letter',
    'lettered',
    'lett',
    'text',
    'balloon',
    'balloons',
    'captions',
    'sfx',
  ],
  flats: ['flats', 'flat', 'flatted', 'flatting'],
};

/** The built-in words and the job's own, without repeats. */
export function partWordsWith(
  extra: Partial<Record<Part, readonly string[] | undefined>>,
): Record<Part, readonly string[]> {
  const words = { ...builtInPartWords };
  for (const part of parts) {
    const own = (extra[part] ?? []).map((word) => word.toLowerCase());
    words[part] = [...new Set([...builtInPartWords[part], ...own])];
  }
  return words;
}
