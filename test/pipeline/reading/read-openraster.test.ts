import { Readable } from 'node:stream';
import { buffer } from 'node:stream/consumers';
import { ZipArchive } from 'archiver';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PageArena } from '../../../pipeline/kernels/page-arena.js';
import type { Layer, LayeredPicture, LayerGroup } from '../../../pipeline/model/working-page.js';
import { readWorkingPicture } from '../../../pipeline/reading/read-picture.js';
import {
  mimetypeEntry,
  openRasterEntries,
  writeOpenRaster,
  writeZip,
  type ZipEntry,
} from '../../helpers/openraster-fixtures.js';
import { firstDifference, type Scratch, sampleValues, scratchFolder } from '../../helpers/picture-samples.js';
import { claimSize, type PngPicture, profileChunk, writePng } from '../../helpers/png-fixtures.js';

const arena = new PageArena();

let scratch: Scratch;
beforeAll(async () => {
  scratch = await scratchFolder();
});
afterAll(() => scratch.remove());

const size = { width: 20, height: 15 };
const pixels = size.width * size.height;

function png(
  colourType: PngPicture['colourType'],
  bits: number,
  chunks: PngPicture['chunks'] = [],
): PngPicture {
  const channels = { 0: 1, 2: 3, 3: 1, 4: 2, 6: 4 }[colourType];
  return {
    ...size,
    colourType,
    bits,
    data: sampleValues(pixels * channels, bits, bits + colourType),
    chunks,
  };
}

const rgba = png(6, 8);
const pictures = { 'data/a.png': rgba, 'data/b.png': png(2, 16), 'mergedimage.png': png(6, 8) };

async function read(bytes: Uint8Array): Promise<LayeredPicture> {
  const path = await scratch.file('cover.ora', bytes);
  const picture = await readWorkingPicture(path, { name: 'cover.ora' }, arena);
  if (picture.kind !== 'layered') throw new Error('expected a layered picture');
  return picture;
}

const image = (content: string, attributes = 'w="20" h="15" version="0.0.5"') =>
  `<?xml version="1.0" encoding="UTF-8"?>\n<image ${attributes}><stack>${content}</stack></image>`;
const readStack = (content: string, attributes?: string) =>
  read(writeOpenRaster(image(content, attributes), pictures));

interface Refusal {
  readonly code: string;
  readonly message: string;
  readonly place: { readonly file?: string };
}
const refusal = (work: Promise<unknown>): Promise<Refusal> =>
  work.then(
    () => {
      throw new Error('expected a refusal');
    },
    (error: Refusal) => error,
  );

const codes = (picture: LayeredPicture) =>
  picture.noticed.map(({ code, severity }) => `${code}: ${severity}`);
const layer = (entry: Layer | LayerGroup | undefined): Layer => {
  if (entry?.kind !== 'layer') throw new Error('expected a layer');
  return entry;
};
const group = (entry: Layer | LayerGroup | undefined): LayerGroup => {
  if (entry?.kind !== 'group') throw new Error('expected a group');
  return entry;
};

// The rules are those of github.com/openraster/ora-spec, baseline/layer-stack-spec.md and file-layout-spec.md.
describe('the layer stack after its specification', () => {
  it('has the first child on top, and defaults for everything but src', async () => {
    const { root, width, height, ppi, noticed } = await readStack(
      '<layer name="inks" src="data/a.png"/><layer src="data/b.png"/>',
    );
    expect([width, height, ppi, noticed]).toEqual([20, 15, undefined, []]);
    expect(root.children.map((child) => child.name)).toEqual(['inks', '']);
    expect(root).toMatchObject({
      kind: 'group',
      isolated: true,
      opacity: 1,
      visible: true,
      blend: 'src-over',
    });
    expect(layer(root.children[1])).toMatchObject({
      x: 0,
      y: 0,
      opacity: 1,
      visible: true,
      blend: 'src-over',
    });
  });

  it('has opacity, visibility, composite-op and offsets, also negative ones', async () => {
    const { root } = await readStack(
      '<layer src="data/a.png" x="-7" y="+9" opacity="0.25" visibility="hidden" composite-op="svg:multiply"/>',
    );
    expect(root.children[0]).toMatchObject({ x: -7, y: 9, opacity: 0.25, visible: false, blend: 'multiply' });
  });

  it('knows every composite-op of the specification', async () => {
    const modes = (
      'src-over multiply screen overlay darken lighten color-dodge color-burn hard-light soft-light difference ' +
      'color luminosity hue saturation plus dst-in dst-out src-atop dst-atop'
    ).split(' ');
    const layers = modes.map((mode) => `<layer src="data/a.png" composite-op="svg:${mode}"/>`).join('');
    const { root } = await readStack(layers);
    expect(root.children.map((child) => child.blend)).toEqual(modes);
  });

  it('isolates a group that says so, is not opaque, or blends (since 0.0.4)', async () => {
    const groups: [string, boolean][] = [
      ['', false],
      ['isolation="auto"', false],
      ['isolation="isolate"', true],
      ['opacity="0.5"', true],
      ['opacity="1.0"', false],
      ['composite-op="svg:screen"', true],
      ['composite-op="svg:src-over"', false],
    ];
    const { root } = await readStack(groups.map(([attributes]) => `<stack ${attributes}/>`).join(''));
    expect(root.children.map((child) => group(child).isolated)).toEqual(
      groups.map(([, isolated]) => isolated),
    );
  });

  it('adds the offsets of nested stacks to their layers', async () => {
    const { root } = await readStack(
      '<stack x="10" y="1"><stack x="5"><layer src="data/a.png" x="-2" y="3"/></stack><layer src="data/a.png"/></stack>' +
        '<layer src="data/a.png" x="1"/>',
    );
    const outer = group(root.children[0]);
    expect(layer(group(outer.children[0]).children[0])).toMatchObject({ x: 13, y: 4 });
    expect(layer(outer.children[1])).toMatchObject({ x: 10, y: 1 });
    expect(layer(root.children[1])).toMatchObject({ x: 1, y: 0 });
  });

  it('states its resolution along both axes or not at all', async () => {
    const stated = 'w="20" h="15" version="0.0.5"';
    expect((await readStack('', `${stated} xres="600" yres="300"`)).ppi).toEqual({ x: 600, y: 300 });
    const half = await readStack('', `${stated} xres="600"`);
    expect([half.ppi, ...codes(half)]).toEqual([undefined, 'openraster-resolution: warn']);
    const wrong = await refusal(readStack('', `${stated} xres="0" yres="300"`));
    expect(wrong.message).toMatch(/xres is "0", expected a whole number of at least 1/);
  });

  it('passes over what extensions add, and says so', async () => {
    const { noticed, root } = await readStack(
      '<layer src="data/a.png" edit-locked="true" xmlns:x="urn:x"/><layer src="data/a.png" edit-locked="true"/>' +
        '<text x="1">words<layer src="data/none.png"/></text>',
    );
    expect(root.children.length).toBe(2);
    expect(noticed.map(({ code, severity }) => `${code}: ${severity}`)).toEqual([
      'openraster-attributes: note',
      'openraster-elements: warn',
    ]);
    expect(noticed[0].message).toMatch(/edit-locked \(2 times\)$/);
  });

  it('gives the root stack no attributes', async () => {
    const xml =
      '<image w="20" h="15" version="0.0.5"><stack opacity="0.5" x="3"><layer src="data/a.png"/></stack></image>';
    const picture = await read(writeOpenRaster(xml, pictures));
    expect(picture.root).toMatchObject({ opacity: 1, visible: true });
    expect(layer(picture.root.children[0]).x).toBe(0);
    expect(codes(picture)).toEqual(['openraster-root: warn']);
  });
});

describe('a mistake in the stack names its layer', () => {
  for (const [attributes, code, message] of [
    [
      'opacity="1.5"',
      'picture-unreadable',
      /line 2, layer "inks": opacity is "1.5", expected a number from 0.0 to 1.0/,
    ],
    ['opacity="0,5"', 'picture-unreadable', /layer "inks": opacity is "0,5"/],
    ['opacity=""', 'picture-unreadable', /opacity is ""/],
    ['visibility="no"', 'picture-unreadable', /visibility is "no", expected visible or hidden/],
    ['x="left"', 'picture-unreadable', /x is "left"/],
    ['y="99999999"', 'picture-unreadable', /y is "99999999"/],
    [
      'composite-op="svg:dissolve"',
      'picture-unsupported',
      /layer "inks" uses the composite-op "svg:dissolve"/,
    ],
    ['composite-op="multiply"', 'picture-unsupported', /composite-op "multiply"/],
  ] as const) {
    it(attributes, async () => {
      const error = await refusal(readStack(`<layer name="inks" src="data/a.png" ${attributes}/>`));
      expect(error.code).toBe(code);
      expect(error.message).toMatch(message);
      expect(error.place.file).toBe('cover.ora');
    });
  }

  it('but what nobody sees may blend as it likes', async () => {
    const hidden = '<layer src="data/a.png" visibility="hidden" composite-op="x:y"/>';
    const inHidden = '<stack visibility="hidden"><layer src="data/a.png" composite-op="x:y"/></stack>';
    expect((await readStack(hidden + inHidden)).root.children.length).toBe(2);
  });

  it('and a missing size, stack, source or picture is said plainly', async () => {
    expect((await refusal(readStack('', 'h="15"'))).message).toMatch(/does not state the size/);
    expect((await refusal(readStack('', 'w="-1" h="15"'))).message).toMatch(/w is "-1"/);
    expect((await refusal(readStack('<layer name="inks"/>'))).message).toMatch(
      /layer "inks": it names no picture/,
    );
    const lost = await refusal(readStack('<layer name="inks" src="data/lost.png"/>'));
    expect(lost.message).toMatch(/layer "inks" \(data\/lost.png\): the archive holds no such picture/);
    const bare = await refusal(read(writeOpenRaster('<image w="1" h="1"/>', {})));
    expect(bare.message).toMatch(/no image with a stack/);
    const jpeg = writeOpenRaster(image('<layer src="data/a.jpg"/>'), { 'data/a.jpg': Buffer.alloc(99, 7) });
    expect(await refusal(read(jpeg))).toMatchObject({ code: 'picture-unsupported' });
  });
});

describe('stack.xml is read strictly', () => {
  const xml = async (text: string | Buffer) => {
    const content = typeof text === 'string' ? Buffer.from(text) : text;
    return refusal(read(writeZip([mimetypeEntry, { name: 'stack.xml', content, deflate: true }])));
  };

  it('without document types and entities', async () => {
    const bomb = '<!DOCTYPE image [<!ENTITY a "aaaa">]><image w="1" h="1"><stack name="&a;"/></image>';
    expect(await xml(bomb)).toMatchObject({ code: 'archive-unsafe' });
    expect(await xml('<!DOCTYPE image SYSTEM "file:///etc/passwd"><image/>')).toMatchObject({
      code: 'archive-unsafe',
    });
    expect((await xml('<image w="1" h="1"><stack name="&a;"/></image>')).code).toBe('picture-unreadable');
  });

  it('without bad nesting, doubled attributes, a second root, other encodings', async () => {
    for (const text of [
      '<image w="1" h="1"><stack></image></stack>',
      '<image w="1" w="2" h="1"><stack/></image>',
      '<image w="1" h="1"><stack/></image><image/>',
      '<image w="1" h="1"><stack/><stack/></image>',
      '<picture/>',
      '',
      Buffer.from('<image w="1" h="1"><stack name="\xe9"/></image>', 'latin1'),
    ]) {
      expect((await xml(text)).code).toBe('picture-unreadable');
    }
  });

  it('within limits of depth, layers and length', async () => {
    const deep = image('<stack>'.repeat(70) + '</stack>'.repeat(70));
    expect(await xml(deep)).toMatchObject({ code: 'archive-unsafe' });
    expect(await xml(image('<layer src="a"/>'.repeat(2001)))).toMatchObject({ code: 'archive-unsafe' });
    const long = `${image('')}<!--${'x'.repeat(1024 * 1024)}-->`;
    expect(await xml(long)).toMatchObject({ code: 'archive-unsafe' });
  });
});

describe('layer pixels arrive number for number, as rgb with alpha', () => {
  for (const [what, picture, widen] of [
    ['RGB with alpha, 8 bit', png(6, 8), (v: number[]) => v],
    ['RGB with alpha, 16 bit', png(6, 16), (v: number[]) => v],
    ['RGB, 8 bit', png(2, 8), (v: number[]) => [...v, 255]],
    ['RGB, 16 bit', png(2, 16), (v: number[]) => [...v, 65535]],
    ['grey, 1 bit', png(0, 1), ([v]: number[]) => [v * 255, v * 255, v * 255, 255]],
    ['grey, 8 bit', png(0, 8), ([v]: number[]) => [v, v, v, 255]],
    ['grey, 16 bit', png(0, 16), ([v]: number[]) => [v, v, v, 65535]],
    ['grey with alpha, 8 bit', png(4, 8), ([v, a]: number[]) => [v, v, v, a]],
    ['grey with alpha, 16 bit', png(4, 16), ([v, a]: number[]) => [v, v, v, a]],
  ] as const) {
    it(what, async () => {
      const { root } = await read(
        writeOpenRaster(image('<layer src="data/a.png"/>'), { 'data/a.png': picture }),
      );
      const raster = await layer(root.children[0]).pixels();
      const channels = picture.data.length / pixels;
      const expected: number[] = [];
      for (let i = 0; i < picture.data.length; i += channels) {
        expected.push(...widen(Array.from(picture.data).slice(i, i + channels)));
      }
      expect([raster.width, raster.height, raster.model, raster.alpha]).toEqual([20, 15, 'rgb', true]);
      expect(raster.data instanceof Uint16Array).toBe(picture.bits === 16);
      expect(firstDifference(raster, expected)).toBeUndefined();
    });
  }

  it('through a palette', async () => {
    const palette = Buffer.from(sampleValues(12, 8));
    const picture = png(3, 2, [
      ['PLTE', palette],
      ['tRNS', Buffer.from([9])],
    ]);
    const { root } = await read(
      writeOpenRaster(image('<layer src="data/a.png"/>'), { 'data/a.png': picture }),
    );
    const expected = Array.from(picture.data).flatMap((i) => [
      ...palette.subarray(i * 3, i * 3 + 3),
      i === 0 ? 9 : 255,
    ]);
    expect(firstDifference(await layer(root.children[0]).pixels(), expected)).toBeUndefined();
  });

  it('every one of the 65536 greys', async () => {
    const data = Array.from({ length: 65536 }, (_, i) => i);
    const picture: PngPicture = { width: 256, height: 256, colourType: 0, bits: 16, data };
    const { root } = await read(writeOpenRaster(image('<layer src="g.png"/>'), { 'g.png': picture }));
    const raster = await layer(root.children[0]).pixels();
    expect(
      firstDifference(
        raster,
        data.flatMap((v) => [v, v, v, 65535]),
      ),
    ).toBeUndefined();
  });
});

describe('the colour profile of the layers', () => {
  const tagged = (seed: number) =>
    png(6, 8, [['iCCP', profileChunk(Buffer.from(sampleValues(500, 8, seed)))]]);
  const two = (a: PngPicture, b: PngPicture, visibility = 'visible') =>
    read(
      writeOpenRaster(image(`<layer src="a.png"/><layer src="b.png" visibility="${visibility}"/>`), {
        'a.png': a,
        'b.png': b,
      }),
    );

  it('is handed on when it is one, and reported when they are mixed', async () => {
    const same = await two(tagged(1), tagged(1));
    expect(Buffer.from(sampleValues(500, 8, 1)).equals(same.profile as Uint8Array)).toBe(true);
    expect(codes(same)).toEqual([]);
    const some = await two(tagged(1), rgba);
    expect([some.profile?.length, ...codes(some)]).toEqual([500, 'openraster-profiles-mixed: warn']);
    const mixed = await two(tagged(1), tagged(2));
    expect([mixed.profile, ...codes(mixed)]).toEqual([undefined, 'openraster-profiles-mixed: warn']);
    expect(codes(await two(tagged(1), tagged(2), 'hidden'))).toEqual([]);
    expect((await two(rgba, rgba)).profile).toBeUndefined();
  });
});

describe('the archive is opened strictly', () => {
  const good = openRasterEntries(image('<layer src="data/a.png"/>'), { 'data/a.png': rgba });
  const withEntry = (entry: Partial<ZipEntry>) =>
    refusal(
      read(
        writeZip([mimetypeEntry, ...good, { name: 'data/x.png', content: Buffer.alloc(100, 1), ...entry }]),
      ),
    );

  for (const [what, entry] of [
    ['a path that climbs out', { name: 'data/../../x.png' }],
    ['an absolute path', { name: '/x.png' }],
    ['a drive letter', { name: 'C:/x.png' }],
    ['a backslash', { name: 'data\\x.png' }],
    ['an empty name', { name: '' }],
    ['a NUL in a name', { name: 'x\0.png' }],
    ['the same name twice', { name: 'data/a.png' }],
    ['a link', { externalAttributes: 0o120777 * 65536 }],
    ['encryption', { flags: 0x0801, deflate: true }],
    ['a method beyond stored and deflated', { method: 12 }],
    ['an absurd promise', { deflate: true, statedBytes: 0x7fffffff }],
    ['a name in front of the data that differs', undefined],
  ] as const) {
    it(`refuses ${what}`, async () => {
      const error =
        entry === undefined
          ? await refusal(read(writeZip([mimetypeEntry, good[0], { ...good[1], localName: 'data/b.png' }])))
          : await withEntry(entry);
      expect(error).toMatchObject({ code: 'archive-unsafe' });
    });
  }

  it('refuses a bomb: much from little', async () => {
    const bomb = { name: 'data/x.png', content: Buffer.alloc(8 * 1024 * 1024), deflate: true };
    expect(await withEntry(bomb)).toMatchObject({ code: 'archive-unsafe' });
  });

  it('refuses entries that share their bytes', async () => {
    const nested = writeZip([
      mimetypeEntry,
      good[0],
      { name: 'data/x.png', content: Buffer.alloc(300, 1) },
      good[1],
    ]);
    // The directory's size of data/x.png grows until it reaches into the entry behind it.
    const at = nested.lastIndexOf('data/x.png') - 46;
    nested.writeUInt32LE(600, at + 20);
    nested.writeUInt32LE(600, at + 24);
    const error = await refusal(read(nested));
    expect([error.code, /overlap/.test(error.message)]).toEqual(['archive-unsafe', true]);
  });

  it('reads what a general-purpose archiver (npm archiver) writes', async () => {
    const archive = new ZipArchive({});
    archive.append('image/openraster', { name: 'mimetype', store: true });
    for (const entry of good) archive.append(Readable.from([entry.content]), { name: entry.name });
    void archive.finalize();
    const picture = await read(await buffer(archive));
    expect(picture.noticed).toEqual([]);
    expect(firstDifference(await layer(picture.root.children[0]).pixels(), rgba.data)).toBeUndefined();
  });

  it('refuses entries that lie about their size, at the latest when they are opened', async () => {
    for (const statedBytes of [50, 150]) {
      const picture = { ...good[1], deflate: true, statedBytes };
      const bytes = writeZip([mimetypeEntry, good[0], picture]);
      expect((await refusal(read(bytes).then((p) => layer(p.root.children[0]).pixels()))).code).toBe(
        'picture-unreadable',
      );
    }
  });

  it('verifies checksums', async () => {
    const bytes = writeZip([mimetypeEntry, good[0], { ...good[1], crc: 12345 }]);
    const { root } = await read(bytes);
    const error = await refusal(layer(root.children[0]).pixels());
    expect(error.code).toBe('picture-unreadable');
    expect(error.message).toMatch(/cover.ora: the layer with data\/a.png: .*checksum does not match/);
    expect((await refusal(read(writeZip([mimetypeEntry, { ...good[0], crc: 1 }, good[1]])))).code).toBe(
      'picture-unreadable',
    );
  });

  it('has been read once and for all, whatever becomes of the file before its layers are decoded', async () => {
    const path = await scratch.file('changing.ora', writeZip([mimetypeEntry, ...good]));
    const picture = await arena.scope(() => readWorkingPicture(path, {}, arena));
    await scratch.file('changing.ora', Buffer.from('something else'));
    arena.allocate(2 ** 20).fill(0);
    if (picture.kind !== 'layered') throw new Error('expected a layered picture');
    const pixels = await layer(picture.root.children[0]).pixels();
    expect([pixels.width, pixels.height]).toEqual([rgba.width, rgba.height]);
    // What comes next takes its place only when it is given up.
    const next = arena.nextAddress();
    picture.giveUp?.();
    arena.allocate(10);
    expect(arena.nextAddress()).toBe(next);
  });

  it('needs the mimetype, and asks for a look where it is not as it should be', async () => {
    expect(await refusal(read(writeZip(good)))).toMatchObject({ code: 'picture-unsupported' });
    for (const entries of [
      [...good, mimetypeEntry],
      [{ ...mimetypeEntry, deflate: true }, ...good],
      [{ name: 'mimetype', content: Buffer.from('image/openraster\n') }, ...good],
    ]) {
      expect(codes(await read(writeZip(entries)))).toEqual(['openraster-mimetype: warn']);
    }
    expect((await refusal(read(writeZip([mimetypeEntry])))).message).toMatch(/no stack.xml/);
  });

  it('refuses an archive that is cut short', async () => {
    const whole = writeZip([mimetypeEntry, ...good]);
    for (const share of [0.2, 0.6, 0.98]) {
      expect((await refusal(read(whole.subarray(0, whole.length * share)))).code).toBe('picture-unreadable');
    }
  });

  it('holds a layer to the limits of a picture', async () => {
    const giant = claimSize(writePng(rgba), 60000, 60000);
    const bytes = writeOpenRaster(image('<layer name="sky" src="data/a.png"/>'), { 'data/a.png': giant });
    const error = await refusal(read(bytes));
    expect([error.code, /layer "sky"/.test(error.message)]).toEqual(['picture-too-large', true]);
  });
});
