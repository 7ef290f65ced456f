import { describe, expect, test } from 'vitest';
import { seenColour, seenLine, traceOfColour, traceOfLine } from '../../../pipeline/register/page-traces.js';
import { compareVersions } from '../../../pipeline/register/versions.js';
import { drawPage, type PageWish, type Style } from '../../helpers/drawn-pages.js';

const page = { width: 825, height: 1260 };

function tracesOf(style: Style, wish: Omit<PageWish, 'width' | 'height'>) {
  const { colour, line } = drawPage(style, { ...page, grid: 9, ...wish });
  return { colour: traceOfColour(seenColour(colour, 300)), line: traceOfLine(seenLine(line, page, 300)) };
}

const last = tracesOf('cel', { seed: 3 });

describe('a new version of line', () => {
  test.each([
    [{ dx: 0.5 }, 0.5],
    [{ dx: -30, dy: 40 }, 50],
  ])('is found shifted, from a pixel at 600 ppi on: %j', (laid, px) => {
    const fit = compareVersions(last.line, tracesOf('cel', { seed: 3, laid }).line);
    expect(fit?.verdict).toBe('moved');
    expect(Math.abs((fit?.displacementPx ?? 0) - px)).toBeLessThan(0.1);
  });

  test('is found turned by a tenth of a degree, and a tenth of a percent larger', () => {
    const turned = compareVersions(last.line, tracesOf('cel', { seed: 3, laid: { degrees: 0.1 } }).line);
    expect(((turned?.movement.turn ?? 0) * 180) / Math.PI).toBeCloseTo(0.1, 1);
    const larger = compareVersions(last.line, tracesOf('cel', { seed: 3, laid: { scalePercent: 0.1 } }).line);
    expect(Math.abs((larger?.movement.zoom ?? 0) * 100 - 0.1)).toBeLessThan(0.03);
  });

  test('is the same where it was drawn over in its place', () => {
    expect(compareVersions(last.line, tracesOf('painted', { seed: 3 }).line)?.verdict).toBe('same');
  });

  test('is another picture where it is, though it has the same panels', () => {
    const other = tracesOf('cel', { seed: 4 });
    expect(compareVersions(last.line, other.line)?.verdict).toBe('other');
    expect(compareVersions(last.colour, other.colour)?.verdict).toBe('other');
  });
});

test('colour that is trapped otherwise than in its last version has not moved', () => {
  expect(compareVersions(last.colour, tracesOf('brush', { seed: 3 }).colour)?.verdict).toBe('same');
});

test('a page without edges says nothing about its next version', () => {
  expect(compareVersions(tracesOf('white', { seed: 3 }).colour, last.colour)?.verdict).toBe('unknown');
});
