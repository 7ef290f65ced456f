import { expect, it } from 'vitest';
import { parts } from '../../../config/job.js';
import { builtInPartWords, doubtfulPartWords, partWordsWith } from '../../../config/job-file/part-words.js';

// Which words tell a part is common practice, no published source.
it.each([
  ['colour', ['colour', 'colors', 'clr', 'paint', 'farbe', 'cores', 'цвет']],
  ['line', ['line', 'inks', 'lineart', 'bw', 'encrage', 'tusz', '線画']],
  ['lettering', ['lettering', 'letters', 'text', 'sfx']],
  ['flats', ['flats', 'flatted', 'aplats', '下塗り']],
] as const)('%s is told by its usual words', (part, words) => {
  expect(builtInPartWords[part]).toEqual(expect.arrayContaining([...words]));
});

it('a word tells one part, in lower case', () => {
  const all = parts.flatMap((part) => builtInPartWords[part]);
  expect(new Set(all).size).toBe(all.length);
  expect(all.map((word) => word.toLowerCase())).toEqual(all);
});

it("the job's words come on top, in lower case and once", () => {
  const words = partWordsWith({ line: ['Federzug', 'INKS'] });
  expect(words.line).toEqual([...builtInPartWords.line, 'federzug']);
  expect(words.colour).toEqual(builtInPartWords.colour);
});

it("a word that two languages use for two parts is nobody's", () => {
  expect(doubtfulPartWords.get('tinta')).toEqual(['colour', 'line']);
  expect(parts.flatMap((part) => builtInPartWords[part])).not.toContain('tinta');
});
