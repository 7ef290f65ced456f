import { describe, expect, it } from 'vitest';
import { noticeBleed } from '../../../pipeline/checks/bleed.js';
import { processPlanes, type Separation, withPlane } from '../../../pipeline/model/separation.js';
import { drawSeparation, inkAt, planesOf } from '../../helpers/plates.js';
import { specWith } from '../../helpers/specs.js';

const separation = drawSeparation(200, 300);
const { cyan, magenta, yellow, black } = planesOf(separation);
const varnish = { name: 'varnish', plane: new Uint8Array(200 * 300).fill(9) };
const varnished: Separation = { ...separation, inks: [...separation.inks, varnish] };

describe('the inks of a page', () => {
  it('begin with cyan, magenta, yellow and black, whatever prints after them', () => {
    expect(varnished.inks.map(({ name }) => name)).toEqual(['cyan', 'magenta', 'yellow', 'black', 'varnish']);
    expect(processPlanes(varnished)).toEqual([cyan, magenta, yellow, black]);
  });

  it('are refused in another order', () => {
    const inks = [varnish, ...separation.inks];
    expect(() => processPlanes({ ...separation, inks })).toThrow('expected cyan as ink 1 but found varnish');
    expect(() => processPlanes({ ...separation, inks: separation.inks.slice(0, 3) })).toThrow(
      'black as ink 4',
    );
  });

  it('change their plane one by one, and the page that they came from stays as it is', () => {
    const bare = withPlane(varnished, 'black', new Uint8Array(200 * 300));
    expect(inkAt(bare, 7)).toEqual([cyan[7], magenta[7], yellow[7], 0]);
    expect(bare.inks[4]).toBe(varnish);
    expect(planesOf(varnished).black).toBe(black);
  });

  it('are all looked at where they end in the bleed', () => {
    const spec = specWith({ bleedMm: 3, colourPpi: 100 });
    const blank = {
      ...separation,
      inks: separation.inks.map(({ name }) => ({ name, plane: new Uint8Array(60000) })),
    };
    const inner = varnish.plane.map((ink, i) => {
      const [x, y] = [i % 200, Math.floor(i / 200)];
      return x >= 11 && x < 189 && y >= 11 && y < 289 ? ink : 0;
    });
    const printed = { ...blank, inks: [...blank.inks, { name: 'varnish', plane: inner }] };
    expect(noticeBleed(blank, spec, 100, 'mm')).toEqual([]);
    expect(noticeBleed(printed, spec, 100, 'mm')[0]).toMatchObject({ code: 'bleed-empty' });
  });
});
