import { describe, expect, test } from 'vitest';
import type { Raster } from '../../../pipeline/model/raster.js';
import type { LayeredPicture, WorkingPicture } from '../../../pipeline/model/working-page.js';
import { joinHalves } from '../../../pipeline/spreads/join-halves.js';
import { specWith } from '../../helpers/specs.js';
import {
  bleedPx,
  columns,
  dabs,
  foldX,
  hatching,
  pictureOf,
  spreadSize,
  whitened,
} from '../../helpers/spread-halves.js';

const spec = specWith({ trim: { widthMm: 100, heightMm: 70 }, bleedMm: 3, colourPpi: 100, linePpi: 200 });
const { width } = spreadSize;

/** Joins the halves of a colour part. */
function join(left: WorkingPicture, right: WorkingPicture) {
  const { parts, noticed } = joinHalves({ colour: { files: ['p10', 'p11'], left, right } }, spec, 'mm');
  return { colour: parts?.colour, noticed, codes: noticed.map(({ code }) => code) };
}

const joinRasters = (left: Raster, right: Raster) => join(pictureOf(left), pictureOf(right));

function pixelsOf(picture: WorkingPicture | undefined): Raster {
  if (picture?.kind !== 'flat') throw new Error('expected a flat picture');
  return picture.raster;
}

const same = (one: Raster, other: Raster) =>
  one.width === other.width && Buffer.from(one.data).equals(Buffer.from(other.data));

const leftOf = (art: Raster, beyond = 0) => columns(art, 0, foldX + beyond);
const rightOf = (art: Raster, beyond = 0, down = 0) =>
  columns(art, foldX - beyond, width - foldX + beyond, down);

describe('halves of a spread that were cut from one picture', () => {
  const art = dabs();
  test.each([
    ['exactly at the fold', leftOf(art), rightOf(art)],
    ['with bleed at the fold', leftOf(art, bleedPx), rightOf(art, bleedPx)],
    ['with bleed at the fold of one alone', leftOf(art, bleedPx), rightOf(art)],
    ['with an overlap of 5 mm', leftOf(art, 39), rightOf(art, 39)],
    [
      'with white bleed at the fold',
      whitened(leftOf(art, bleedPx), foldX, foldX + bleedPx),
      whitened(rightOf(art, bleedPx), 0, bleedPx),
    ],
  ])('%s are that picture again, number for number', (_how, left, right) => {
    const { colour, codes } = joinRasters(left, right);
    expect(same(pixelsOf(colour), art)).toBe(true);
    expect(codes).toEqual(['spread-joined']);
  });

  test('say how far they went on past the fold', () => {
    const [note] = joinRasters(leftOf(art, bleedPx), rightOf(art, bleedPx)).noticed;
    expect(note.measured).toBe('both 3 mm past the fold, cut away');
  });

  test('of 16 bit and of 8 are joined in 16', () => {
    const left = leftOf(art);
    const wide = { ...left, data: Uint16Array.from(left.data, (value) => value * 257) };
    const { data } = pixelsOf(joinRasters(wide, rightOf(art)).colour);
    expect(data).toBeInstanceOf(Uint16Array);
    expect(data.at(-1)).toBe(257 * (art.data.at(-1) ?? 0));
  });
});

describe('a right half that lies beside its place', () => {
  const art = dabs();

  test('is moved back by what a strip on both halves shows, and asks for a look', () => {
    // Two pixels of 200 ppi are 0.254 mm: arithmetic.
    const left = leftOf(art, bleedPx);
    const right = columns(art, foldX - bleedPx - 2, width - foldX + bleedPx, 2);
    const { colour, noticed } = joinRasters(left, right);
    expect(noticed.map(({ code, severity }) => [code, severity])).toEqual([
      ['spread-joined', 'note'],
      ['spread-shifted', 'warn'],
    ]);
    expect(noticed[1].measured).toBe('0.25 mm to the right, 0.25 mm down');
    const inner = (raster: Raster) => columns(raster, 0, width - 2);
    const upTo = (raster: Raster) => ({
      ...raster,
      height: 590,
      data: raster.data.subarray(0, 590 * (width - 2) * 3),
    });
    expect(same(upTo(inner(pixelsOf(colour))), upTo(inner(art)))).toBe(true);
  });

  test('is moved up or down by what crosses the fold', () => {
    const { noticed } = joinRasters(leftOf(art), rightOf(art, 0, 5));
    const [measured] = (noticed[1]?.measured ?? '').split(' ');
    // Five pixels are 0.635 mm; what crosses aslant may tell a pixel more or less.
    expect(Math.abs(Number(measured) - 0.635)).toBeLessThan(0.14);
    expect(noticed[1].measured).toContain('mm down');
  });

  test('stays where hatching alone is at the fold: it is alike everywhere', () => {
    const { codes } = joinRasters(leftOf(hatching(), bleedPx), rightOf(hatching(), bleedPx, 2));
    expect(codes).toEqual(['spread-joined']);
  });

  test('takes a colour with it that cannot tell', () => {
    const ink = dabs('grey');
    const sky = columns(whitened(dabs(), 0, width), 0, width);
    const pair = (left: Raster, right: Raster) => ({
      files: ['p10', 'p11'] as const,
      left: pictureOf(left),
      right: pictureOf(right),
    });
    const halves = {
      line: pair(leftOf(ink, bleedPx), rightOf(ink, bleedPx, 3)),
      colour: pair(leftOf(sky, bleedPx), rightOf(sky, bleedPx, 3)),
    };
    const { noticed } = joinHalves(halves, spec, 'mm');
    expect(noticed.filter(({ code }) => code === 'spread-shifted').map(({ measured }) => measured)).toEqual([
      '0.38 mm down',
      '0.38 mm down',
    ]);
  });
});

describe('halves that are no one picture', () => {
  const art = dabs();
  const [left, right] = [leftOf(art), rightOf(art)];
  const layers: LayeredPicture = {
    ...{ kind: 'layered', format: 'openraster', width: right.width, height: right.height },
    ...{ ppi: { x: 200, y: 200 }, profile: undefined, noticed: [] },
    root: {
      kind: 'group',
      name: '',
      opacity: 1,
      visible: true,
      blend: 'src-over',
      isolated: true,
      children: [],
    },
  };

  test.each([
    ['another resolution', pictureOf(right, { ppi: { x: 100, y: 100 } }), 'spread-halves-differ'],
    ['another colour model', pictureOf(rightOf(dabs('grey'))), 'spread-halves-differ'],
    ['no half at all', pictureOf(columns(art, 0, 700)), 'shape-wrong'],
    ['the trim alone', pictureOf({ ...columns(art, foldX, 394), height: 551 }), 'bleed-missing'],
  ])('are told: %s', (name, other, code) => {
    const picture = name === 'another resolution' ? halfSize(other) : other;
    const { colour, codes, noticed } = join(pictureOf(left), picture);
    expect(colour).toBeUndefined();
    expect(codes).toContain(code);
    expect(noticed.some(({ severity }) => severity === 'stop')).toBe(true);
  });

  test('two profiles stop, one profile alone asks for a look', () => {
    const [one, other] = [Uint8Array.of(1), Uint8Array.of(2)];
    const both = join(pictureOf(left, { profile: one }), pictureOf(right, { profile: other }));
    expect(both.noticed.map(({ severity }) => severity)).toEqual(['stop']);
    const lone = join(pictureOf(left, { profile: one }), pictureOf(right));
    expect(lone.noticed[0]).toMatchObject({ code: 'spread-halves-differ', severity: 'warn' });
    expect(lone.colour?.profile).toEqual(one);
  });

  test('layers beside a flat picture ask for a look, and are joined as layers that end at the fold', async () => {
    const { colour, noticed } = join(pictureOf(leftOf(art, bleedPx)), layers);
    expect(noticed[0]).toMatchObject({ code: 'spread-halves-differ', severity: 'warn' });
    if (colour?.kind !== 'layered') throw new Error('expected layers');
    expect([colour.width, colour.height]).toEqual([width, spreadSize.height]);
    const [group] = colour.root.children;
    const flat = group.kind === 'group' ? group.children[0] : group;
    expect(flat.kind === 'layer' && same(await flat.pixels(), left)).toBe(true);
  });
});

/** The same with half the pixels. */
function halfSize(picture: WorkingPicture): WorkingPicture {
  const raster = columns(pixelsOf(picture), 0, Math.ceil(picture.width / 2));
  const height = Math.ceil(picture.height / 2);
  return pictureOf(
    { ...raster, height, data: raster.data.subarray(0, raster.width * height * 3) },
    { ppi: picture.ppi },
  );
}
