import type { IssuePage, Part } from '../../config/job.js';
import { builtInPartWords } from '../../config/part-words.js';
import type { ReconcileJob } from '../../pipeline/reconcile.js';
import type { IncomingFile } from '../../pipeline/reconciliation.js';

/** A page of a test issue; reconciling never looks at the print spec. */
export function testPage(id: string, numbers: readonly number[], more: Partial<IssuePage> = {}): IssuePage {
  return {
    id,
    kind: numbers.length === 0 ? 'cover' : 'interior',
    numbers,
    aliases: [],
    scene: undefined,
    needs: undefined,
    heldReason: undefined,
    accepted: {},
    spec: {} as IssuePage['spec'],
    ...more,
  };
}

/** Single pages `first` to `last`. */
export function testPages(first: number, last: number): IssuePage[] {
  return Array.from({ length: last - first + 1 }, (_, at) => testPage(String(first + at), [first + at]));
}

const words: Record<Part, readonly string[]> = {
  ...builtInPartWords,
  line: [...builtInPartWords.line, 'encré'],
};

/** The issue SHN04, number 4, with the page list that test/pipeline/name-cases.ts describes. */
export const testJob: ReconcileJob = {
  issue: 'SHN04',
  number: 4,
  pages: [
    testPage('cover', [], { aliases: ['front cover', 'front', 'fc'] }),
    testPage('inside-front-cover', [], { aliases: ['ifc'] }),
    ...testPages(1, 11),
    testPage('12-13', [12, 13]),
    ...testPages(14, 24),
    testPage('70', [70]),
    testPage('couverture-arrière', []),
    testPage('cover-b', []),
    testPage('back-cover', [], { aliases: ['bc'] }),
  ],
  assignments: new Map(),
  partWords: words,
};

/** Files of those names, none of them empty. */
export function testFiles(...names: readonly string[]): IncomingFile[] {
  return names.map((name) => ({ name, bytes: 1000, mtimeMs: 0 }));
}
