import { type ColourRuns, endOf } from './colour-runs.js';

/** What hangs together of one colour, by sides or corners: the tip of a lassoed area is no stray, though its pixels meet in corners. */
export interface Patches {
  readonly count: number;
  /** The patch that each run belongs to. */
  readonly ofRun: Uint32Array;
  /** Of each patch: the number of its colour, its pixels, and its box, right and bottom one beyond its last pixel. */
  readonly colours: Uint32Array;
  readonly areas: Uint32Array;
  readonly lefts: Uint32Array;
  readonly tops: Uint32Array;
  readonly rights: Uint32Array;
  readonly bottoms: Uint32Array;
  /** Of each colour: 1 where it fills a square of three by three pixels somewhere. */
  readonly fills: Uint8Array;
}

/** The side of the square that a colour has to fill somewhere to be a flat: soft edges are one or two pixels wide. */
const flatSide = 3;

/** Finds the patches of a picture. */
export function findPatches(runs: ColourRuns): Patches {
  const parents = Uint32Array.from({ length: runs.count }, (_, run) => run);
  const fills = new Uint8Array(runs.keys.length);
  for (let y = 1; y < runs.height; y++) joinRows(runs, y, parents, fills);
  const ofRun = new Uint32Array(runs.count);
  let count = 0;
  // A patch is named by its first run, which comes before all others of it.
  for (let run = 0; run < runs.count; run++) {
    const root = rootOf(parents, run);
    ofRun[run] = root === run ? count++ : ofRun[root];
  }
  return { count, ofRun, fills, ...measured(runs, ofRun, count) };
}

function rootOf(parents: Uint32Array, run: number): number {
  let at = run;
  while (parents[at] !== at) {
    // Halving the way keeps it short for whoever asks next.
    parents[at] = parents[parents[at]];
    at = parents[at];
  }
  return at;
}

function join(parents: Uint32Array, one: number, other: number): void {
  const [a, b] = [rootOf(parents, one), rootOf(parents, other)];
  if (a < b) parents[b] = a;
  else parents[a] = b;
}

/** Joins the runs of a row with those of the row above that they touch. */
function joinRows(runs: ColourRuns, y: number, parents: Uint32Array, fills: Uint8Array): void {
  const { rows, starts, colours } = runs;
  const [above, first, end] = [rows[y - 1], rows[y], rows[y + 1]];
  let upper = above;
  for (let lower = first; lower < end; lower++) {
    const start = starts[lower];
    const stop = endOf(runs, lower, y);
    const colour = colours[lower];
    while (upper + 1 < first && starts[upper + 1] < start) upper++;
    for (let near = upper; near < first && starts[near] <= stop; near++) {
      if (colours[near] !== colour) continue;
      join(parents, near, lower);
      if (fills[colour] !== 0 || y < 2) continue;
      const from = Math.max(start, starts[near]);
      const to = Math.min(stop, endOf(runs, near, y - 1));
      if (to - from >= flatSide && goesOnAbove(runs, y - 2, colour, from, to)) fills[colour] = 1;
    }
  }
}

/** Whether a row has as many pixels of a colour as a flat needs, between two columns. */
function goesOnAbove(runs: ColourRuns, y: number, colour: number, from: number, to: number): boolean {
  for (let run = runs.rows[y]; run < runs.rows[y + 1] && runs.starts[run] < to; run++) {
    if (runs.colours[run] !== colour) continue;
    const within = Math.min(to, endOf(runs, run, y)) - Math.max(from, runs.starts[run]);
    if (within >= flatSide) return true;
  }
  return false;
}

function measured(runs: ColourRuns, ofRun: Uint32Array, count: number) {
  const numbers = () => new Uint32Array(count);
  const [colours, areas, lefts, tops, rights, bottoms] = [
    numbers(),
    numbers(),
    numbers().fill(runs.width),
    numbers(),
    numbers(),
    numbers(),
  ];
  for (let y = 0; y < runs.height; y++) {
    for (let run = runs.rows[y]; run < runs.rows[y + 1]; run++) {
      const patch = ofRun[run];
      const [start, end] = [runs.starts[run], endOf(runs, run, y)];
      if (areas[patch] === 0) tops[patch] = y;
      colours[patch] = runs.colours[run];
      areas[patch] += end - start;
      if (start < lefts[patch]) lefts[patch] = start;
      if (end > rights[patch]) rights[patch] = end;
      bottoms[patch] = y + 1;
    }
  }
  return { colours, areas, lefts, tops, rights, bottoms };
}

/** Whether a patch lies at the edge of the picture, where nobody knows how it goes on. */
export function isAtEdge({ lefts, tops, rights, bottoms }: Patches, patch: number, of: ColourRuns): boolean {
  return (
    lefts[patch] === 0 || tops[patch] === 0 || rights[patch] === of.width || bottoms[patch] === of.height
  );
}
