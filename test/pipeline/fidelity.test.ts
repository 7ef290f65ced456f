import { beforeAll, describe, expect, test } from 'vitest';
import { ciede2000, type Lab } from '../../config/press/ciede2000.js';
import { exactTransform, loadProfile } from '../../config/press/colour-engine.js';
import { openPress } from '../../config/press.js';
import { noticeDiffering } from '../../pipeline/checks/print-differs.js';
import { measureFidelity, type PrintedPage } from '../../pipeline/inks/fidelity.js';
import { type Separator, separatorFor } from '../../pipeline/inks/separator.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import type { Plate, Raster } from '../../pipeline/model/raster.js';
import { processPlanes, type Separation, withPlane } from '../../pipeline/model/separation.js';
import { drawnSpec } from '../helpers/page-to-inks.js';

const arena = new PageArena();
const [width, height] = [120, 100];
const limits = drawnSpec.fidelity;

let separator: Separator;
let labOf: (inks: number[]) => Lab;
beforeAll(async () => {
  const press = await openPress(drawnSpec.press);
  separator = separatorFor(press, drawnSpec);
  const how = { to: 'lab', intent: 'relative', blackPointCompensation: false } as const;
  const exact = exactTransform({ ...how, from: loadProfile(press.profile) });
  labOf = (inks) => {
    const [l, a, b] = exact(inks.map((ink) => ink / 255));
    return [l * 100, a * 255 - 128, b * 255 - 128];
  };
});

/** A smooth sky, from blue to a warm grey. */
function sky(): Raster {
  const data = new Uint8Array(width * height * 3);
  for (let i = 0; i < width * height; i++) {
    const share = Math.floor(i / width) / height;
    data.set([90 + 90 * share, 130 + 40 * share, 190 - 30 * share], i * 3);
  }
  return { width, height, model: 'rgb', alpha: false, data };
}

function printed(change: Partial<PrintedPage> = {}): PrintedPage {
  const colour = sky();
  const { separation } = separator.separate(colour, undefined, arena);
  const page = { colour, painted: undefined, profile: undefined, coverage: undefined };
  return { ...page, plates: separation, composite: separation, ...change };
}

function measured(page: PrintedPage) {
  const found = measureFidelity(page, drawnSpec, separator, arena);
  if (found === undefined) throw new Error('nothing was measured');
  return found;
}

/** The same inks with other values of black where a test says so. */
function withBlack(inks: Separation, change: (x: number, y: number, black: number) => number): Separation {
  const plane = processPlanes(inks)[3].map((black, i) => change(i % width, Math.floor(i / width), black));
  return withPlane(inks, 'black', plane);
}

describe('a page that prints as it was painted', () => {
  test('differs nowhere', () => {
    const { rest, edges, places, line } = measured(printed());
    expect(rest).toEqual({ meanDe: 0, p95De: 0, p999De: 0, mostDe: 0, over3Percent: 0 });
    expect(edges).toEqual({ lengthMm: 0, mostDe: 0 });
    expect(places).toEqual([]);
    expect(line).toBeUndefined();
  });

  test('is not told', () => {
    expect(noticeDiffering(measured(printed()), limits)).toEqual([]);
  });
});

describe('a page that prints otherwise', () => {
  test('differs by as much as the inks do, to a tenth: against the exact conversion', () => {
    const page = printed();
    const composite = withBlack(page.composite, (_x, _y, black) => Math.min(255, black + 60));
    const { rest } = measured({ ...page, composite });
    let sum = 0;
    for (let i = 0; i < width * height; i += 7) {
      const at = (inks: Separation) => labOf(processPlanes(inks).map((plane) => plane[i]));
      sum += ciede2000(at(page.composite), at(composite));
    }
    expect(rest.meanDe).toBeCloseTo(sum / Math.ceil((width * height) / 7), 1);
    expect(rest.over3Percent).toBe(100);
  });

  test('is told with its places in millimetres, and stopped where it is another colour', () => {
    const page = printed();
    // A patch of 10 x 10 pixels; its border counts as well, from the pixel beside it.
    const isIn = (x: number, y: number) => x >= 60 && x < 70 && y >= 50 && y < 60;
    const spoilt = withBlack(page.composite, (x, y, black) => (isIn(x, y) ? 255 : black));
    const fidelity = measured({ ...page, composite: spoilt });
    const [place] = fidelity.places;
    const mm = (px: number) => (px / 300) * 25.4 - drawnSpec.bleedMm;
    expect(place.xMm).toBeGreaterThanOrEqual(mm(59) - 0.1);
    expect(place.xMm).toBeLessThanOrEqual(mm(70) + 0.1);
    expect(place.yMm).toBeGreaterThanOrEqual(mm(49) - 0.1);
    const [finding] = noticeDiffering(fidelity, limits);
    expect(finding.code).toBe('print-differs');
    expect(finding.severity).toBe('stop');
    const [boxed] = finding.places?.shown ?? [];
    expect(boxed.xMm + boxed.widthMm / 2).toBeCloseTo(place.xMm, 1);
    expect(boxed.yMm + boxed.heightMm / 2).toBeCloseTo(place.yMm, 1);
  });

  test('names its places by the limit of the job, where that is lower than usual', () => {
    const page = printed();
    const strict = { ...drawnSpec, fidelity: { ...limits, warnDe: 1 } };
    const composite = withBlack(page.composite, (_x, _y, black) => black + 15);
    const found = measureFidelity({ ...page, composite }, strict, separator, arena);
    expect(found?.rest.mostDe).toBeLessThan(3);
    expect(found?.places.length).toBeGreaterThan(0);
    expect(noticeDiffering(found, strict.fidelity)[0].places?.inAll).toBe(found?.places.length);
  });

  test('asks for a look where it is near, and for none where nobody sees it', () => {
    const page = printed();
    const near = withBlack(page.composite, (x, _y, black) => black + Math.round((x / width) * 26));
    expect(noticeDiffering(measured({ ...page, composite: near }), limits)[0].severity).toBe('warn');
    const unseen = withBlack(page.composite, (_x, _y, black) => black + 2);
    expect(noticeDiffering(measured({ ...page, composite: unseen }), limits)).toEqual([]);
  });

  test('has an edge that nobody painted where two halves of it part, as long as they touch', () => {
    const page = printed();
    const parted = withBlack(page.composite, (x, _y, black) => (x < 60 ? black + 70 : black));
    const { edges } = measured({ ...page, composite: parted });
    expect(edges.mostDe).toBeGreaterThan(8);
    expect(edges.lengthMm).toBeCloseTo((height / 300) * 25.4, 0);
  });
});

test('single pixels that differ, as between the dots of a tone, are no edge', () => {
  const page = printed();
  const specked = withBlack(page.composite, (x, y, black) =>
    x % 10 === 5 && y % 10 === 5 ? black + 70 : black,
  );
  const { edges, rest } = measured({ ...page, composite: specked });
  expect(edges).toEqual({ lengthMm: 0, mostDe: 0 });
  expect(rest.over3Percent).toBeGreaterThan(0);
});

/** Black all over, lighter towards the right, in steps that `levelAt` tells; printed as black line. */
function blackened(levelAt: (x: number, y: number) => number) {
  const data = Uint8Array.from({ length: width * height * 3 }, (_, at) => {
    const i = Math.floor(at / 3);
    return levelAt(i % width, Math.floor(i / width));
  });
  const painted: Raster = { width, height, model: 'rgb', alpha: false, data };
  const coverage: Plate = { width, height, data: new Uint8Array(width * height).fill(255) };
  const page = printed({ coverage, painted });
  return measured({ ...page, composite: withBlack(page.composite, () => 255) });
}

describe('within black that was taken for line', () => {
  const ramp = (x: number) => Math.max(0, Math.floor((x - 90) / 2));

  test('a soft light that is lost is told, since it was painted', () => {
    expect(blackened(ramp).rest.mostDe).toBeGreaterThan(1);
  });

  test('the traces of JPEG are black on purpose', () => {
    const { rest } = blackened((x, y) => ((x * 7 + y * 13) % 5 === 0 ? 14 : 0));
    expect(rest).toEqual({ meanDe: 0, p95De: 0, p999De: 0, mostDe: 0, over3Percent: 0 });
  });
});

describe('black line', () => {
  const coverage: Plate = {
    width,
    height,
    data: new Uint8Array(width * height).map((_, i) => (i % width >= 40 && i % width < 60 ? 255 : 0)),
  };
  const overprinted = (inks: Separation) =>
    withBlack(inks, (x, _y, black) => (x >= 40 && x < 60 ? 255 : black));

  test('is told apart: it has black ink where the page would mix its black', () => {
    const page = printed({ coverage });
    const { line, rest } = measured({ ...page, composite: overprinted(page.composite) });
    expect(line?.meanDe).toBeGreaterThan(1);
    expect(rest.mostDe).toBe(0);
  });

  test('is looked at on the plates with the line laid over them, too', () => {
    const page = printed({ coverage });
    // Somebody forgets the line on the composite: what the plates print is still right, what the composite prints is not.
    const forgotten = measured(page).line;
    const right = measured({ ...page, composite: overprinted(page.composite) }).line;
    expect(forgotten?.meanDe).toBeGreaterThan((right?.meanDe ?? 0) + 20);
  });

  test('that was painted as colour counts as the rest', () => {
    const page = printed({ coverage });
    const dark = sky();
    for (let i = 0; i < width * height; i++) {
      const x = i % width;
      if (x >= 40 && x < 45) dark.data.fill(0, i * 3, i * 3 + 3);
      if (x >= 45 && x < 60) dark.data.fill(x < 55 ? 0 : 60, i * 3, i * 3 + 3);
    }
    const { rest } = measured({ ...page, painted: dark, composite: overprinted(page.composite) });
    expect(rest.mostDe).toBeGreaterThan(5);
    expect(rest.over3Percent).toBeGreaterThan(1);
  });
});

test('colour that came as inks keeps its numbers, so that there is nothing to compare', () => {
  const inks: Raster = {
    width,
    height,
    model: 'cmyk',
    alpha: false,
    data: new Uint8Array(width * height * 4),
  };
  expect(measureFidelity(printed({ colour: inks }), drawnSpec, separator, arena)).toBeUndefined();
  expect(noticeDiffering(undefined, limits)).toEqual([]);
});
