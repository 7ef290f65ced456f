import { describe, expect, test } from 'vitest';
import { limitsWith } from '../../../config/check-limits/index.js';
import type { PageRun } from '../../../pipeline/issue/page-run.js';
import { samenessFindings } from '../../../pipeline/issue/sameness.js';
import type { LineStrokes, PageTrace } from '../../../pipeline/model/page-result.js';
import { lookOfColour, lookOfLine } from '../../../pipeline/register/looks.js';
import { bitsOf, drawn, plateOf, seeded } from '../../helpers/rasters.js';

const [columns, rows] = [32, 48];

/** What is kept of a picture that has edges everywhere, or nowhere. */
function traceWith(look: string, isBlank = false): PageTrace {
  const bits = Buffer.alloc((columns * rows) / 8, isBlank ? 0 : 0x55).toString('base64');
  return { columns, rows, bits, sketch: undefined, look };
}

/** Colour of a seed's own, by some levels of blue lighter, which are a fifth of what counts. */
const colour = (seed: number, lighter = 0) => {
  const noise = seeded(seed);
  return traceWith(lookOfColour(drawn(48, 72, 'rgb', () => [noise() * 200, noise() * 200, 90 + lighter])));
};
const line = (seed: number) => {
  const noise = seeded(seed);
  return traceWith(lookOfLine(bitsOf(plateOf(768, 72, () => (noise() < 0.2 ? 255 : 0)))));
};

interface Wish {
  readonly colour?: PageTrace;
  readonly line?: PageTrace;
  readonly strokes?: Partial<LineStrokes>;
  readonly kind?: string;
  readonly numbers?: readonly number[];
  readonly inks?: readonly string[];
  readonly accepted?: Record<string, string>;
  readonly times?: number;
}

function page(
  id: number,
  { strokes, kind = 'interior', numbers = [id], accepted = {}, ...wish }: Wish,
): PageRun {
  const measured = strokes && { widthMm: 0.3, coveragePercent: 8, ...strokes };
  const result = {
    findings: [],
    condition: { inks: wish.inks ?? ['cyan', 'magenta', 'yellow', 'black'] },
    measures: { strokes: measured },
    traces: { colour: wish.colour, line: wish.line, lettering: undefined },
  };
  const spec = { checks: limitsWith({ unlikeNeighboursTimes: wish.times }) };
  return { page: { id: `${id}`, kind, numbers, accepted, spec }, stored: { result } } as unknown as PageRun;
}

const toldOf = (runs: readonly PageRun[]) =>
  [...samenessFindings(runs)].flatMap(([id, found]) =>
    found.map((one) => `${id} ${one.severity}: ${one.message}`),
  );

describe('one picture on two pages', () => {
  test('is told on both, with the other one and the part', () => {
    const pages = [
      page(1, { colour: colour(1), line: line(1) }),
      page(2, { colour: colour(2), line: line(2) }),
    ];
    const again = page(9, { colour: colour(1), line: line(1) });
    expect(toldOf([...pages, again])).toEqual([
      '1 warn: It shows the same picture as page 9 (colour and line)',
      '9 warn: It shows the same picture as page 1 (colour and line)',
    ]);
    expect(toldOf([page(1, { line: line(1) }), page(2, { line: line(1), colour: colour(3) })])).toEqual([
      '1 warn: It shows the same picture as page 2 (line)',
      '2 warn: It shows the same picture as page 1 (line)',
    ]);
  });

  test('may differ by half a level anywhere, and by no more', () => {
    const beside = (levels: number) =>
      toldOf([page(1, { colour: colour(1) }), page(2, { colour: colour(1, levels) })]);
    expect(beside(2)).toHaveLength(2);
    expect(beside(3)).toEqual([]);
  });

  test('is none where there is nothing to see, or next to nothing', () => {
    const blank = traceWith(lookOfColour(drawn(48, 72, 'rgb', () => [255, 255, 255])), true);
    expect(toldOf([page(1, { colour: blank }), page(2, { colour: blank })])).toEqual([]);
    const chapter = (squares: number) => {
      const bits = Buffer.alloc((columns * rows) / 8);
      for (let at = 0; at < squares; at++) bits[at >> 3] |= 1 << (at & 7);
      return { ...blank, bits: bits.toString('base64') };
    };
    const alike = (squares: number) => toldOf([1, 2].map((id) => page(id, { colour: chapter(squares) })));
    expect([alike(199).length, alike(200).length]).toEqual([0, 2]);
  });

  test('becomes a note where the job accepts it', () => {
    const accepted = { 'page-repeated': 'the dream comes back' };
    const [first, second] = toldOf([
      page(1, { colour: colour(1), accepted }),
      page(2, { colour: colour(1) }),
    ]);
    expect([first, second].map((told) => told.slice(0, 6))).toEqual(['1 note', '2 warn']);
  });

  test('on many pages names some and counts the rest', () => {
    const same = colour(1);
    const [first] = toldOf(Array.from({ length: 9 }, (_, at) => page(at + 1, { colour: same })));
    expect(first).toMatch(/page 2 \(colour\), .*6 \(colour\) and 3 more$/);
  });

  test('is told with the parts of each page, where some share the colour and others the line', () => {
    const [warm, cold] = [colour(1), colour(2)];
    const parts = [
      { colour: warm, line: line(1) },
      { colour: warm, line: line(1) },
      { colour: warm, line: line(2) },
      { colour: cold, line: line(1) },
      { colour: cold, line: line(3) },
    ];
    expect(toldOf(parts.map((wish, at) => page(at + 1, wish)))).toEqual([
      '1 warn: It shows the same picture as page 2 (colour and line), 3 (colour), 4 (line)',
      '2 warn: It shows the same picture as page 1 (colour and line), 3 (colour), 4 (line)',
      '3 warn: It shows the same picture as page 1 (colour), 2 (colour)',
      '4 warn: It shows the same picture as page 5 (colour), 1 (line), 2 (line)',
      '5 warn: It shows the same picture as page 4 (colour)',
    ]);
  });

  test('is looked for in 2,000 pages in well under a second, alike or not', () => {
    const lines = Array.from({ length: 40 }, (_, at) => line(1 + at));
    for (const pictures of [40, 1]) {
      const own = Array.from({ length: 2000 }, (_, at) => page(at + 1, { line: lines[at % pictures] }));
      const start = process.cpuUsage();
      expect(samenessFindings(own).size).toBe(2000);
      const { user, system } = process.cpuUsage(start);
      expect((user + system) / 1e6).toBeLessThan(1.5);
    }
  });
});

describe('a page unlike its neighbours', () => {
  const usual = [1, 2, 3, 4].map((id) => page(id, { strokes: {} }));
  const beside = (strokes: Partial<LineStrokes>, wish: Wish = {}) =>
    toldOf([...usual, page(5, { strokes, ...wish })]);

  test('is noted where its line is three times as wide, or a third, and not before', () => {
    expect(beside({ widthMm: 0.9 })).toEqual(['5 note: Its line is far wider than that of the other pages']);
    expect(beside({ widthMm: 0.89 })).toEqual([]);
    expect(beside({ widthMm: 0.1 })).toEqual([
      '5 note: Its line is far thinner than that of the other pages',
    ]);
    expect(beside({ widthMm: 0.11 })).toEqual([]);
  });

  test('is noted where it is as much denser and clearly wider, as a scan that was made too dark', () => {
    expect(beside({ widthMm: 0.55, coveragePercent: 25 })).toEqual([
      '5 note: Its line is far denser and wider than that of the other pages',
    ]);
    expect(beside({ widthMm: 0.15, coveragePercent: 2.5 })).toEqual([
      '5 note: Its line is far sparser and thinner than that of the other pages',
    ]);
  });

  test('is none that is dense or sparse alone: night, a splash page, a figure in the void', () => {
    expect(beside({ coveragePercent: 40 })).toEqual([]);
    expect(beside({ coveragePercent: 1 })).toEqual([]);
    expect(beside({ widthMm: 0.5, coveragePercent: 1 })).toEqual([]);
  });

  test('is no cover, no spread, and no page in black alone among others', () => {
    const thick = { widthMm: 1.2 };
    expect(beside(thick, { kind: 'cover', numbers: [] })).toEqual([]);
    expect(beside(thick, { numbers: [6, 7] })).toEqual([]);
    expect(beside(thick, { inks: ['black'] })).toEqual([]);
  });

  test('is looked for among pages in black alone where there are enough of them', () => {
    const manga = [1, 2, 3, 4].map((id) => page(id, { strokes: {}, inks: ['black'] }));
    expect(toldOf([...manga, page(5, { strokes: { widthMm: 1 }, inks: ['black'] })])).toHaveLength(1);
  });

  test('takes five pages, and a limit', () => {
    expect(toldOf([...usual.slice(1), page(5, { strokes: { widthMm: 2 } })])).toEqual([]);
    expect(beside({ widthMm: 2 }, { times: 0 })).toEqual([]);
  });
});
