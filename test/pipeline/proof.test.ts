import { describe, expect, it } from 'vitest';
import { bleedBoxPx, trimBoxPx } from '../../config/print-spec.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import { numberedPlaces } from '../../pipeline/model/places.js';
import type { Raster } from '../../pipeline/model/raster.js';
import { drawProof, type ProofOptions } from '../../pipeline/proof.js';
import type { ProofSlug, SlugFinding } from '../../pipeline/sheets/proof-slug.js';
import { hashDrawnWithoutFonts, hashOfRaster } from '../helpers/without-fonts.js';

const arena = new PageArena();

const ppi = 100;
const spec = {
  trim: { widthMm: 152.4, heightMm: 228.6 },
  bleedMm: 5.08,
  safeMm: 10.16,
  colourPpi: 300,
  linePpi: 600,
};
function finding(severity: SlugFinding['severity'], message: string): SlugFinding {
  return { severity, message, measured: undefined };
}

const slug: ProofSlug = {
  issue: 'SHN04',
  title: 'Salt Harbour Nights',
  page: '7',
  isSpread: false,
  scene: 'The harbour at night',
  files: [{ part: 'colour', version: 2, name: 'SHN04_p07_colour_v2.tif' }],
  date: '2031-03-02',
  condition: 'cgats-tr006, ink limit 300 %',
  findings: [finding('warn', 'The colour is at 212 ppi')],
  softProofNote: undefined,
};
const options: ProofOptions = { spec, ppi, slug, isSpread: false };

function pageOf(grey: (x: number, y: number) => number, size = bleedBoxPx(spec, ppi)): Raster {
  const data = new Uint8Array(size.width * size.height * 3);
  for (let i = 0; i < data.length; i++) {
    const pixel = Math.floor(i / 3);
    data[i] = grey(pixel % size.width, Math.floor(pixel / size.width)) + (i % 3);
  }
  return { ...size, model: 'rgb', alpha: false, data };
}

const plainPage = pageOf((x, y) => (x * 7 + y * 13) % 250);

function sampleAt(raster: Raster, x: number, y: number): number {
  return raster.data[(y * raster.width + x) * 3] ?? -1;
}

/** Where the page's top left corner lies on its proof: the first place where three samples in a row are the page's. */
function cornerOf(proof: Raster, page: Raster): { left: number; top: number } {
  const left = Math.floor((proof.width - page.width) / 2);
  const trim = trimBoxPx(page, spec, ppi);
  const middle = { x: trim.left + 100, y: trim.top + 100 };
  for (let top = 0; top + page.height < proof.height; top++) {
    const wanted = [0, 1, 2, 3].map((step) => sampleAt(page, middle.x + step, middle.y + step));
    const found = [0, 1, 2, 3].map((step) => sampleAt(proof, left + middle.x + step, top + middle.y + step));
    if (wanted.every((each, index) => each === found[index])) return { left, top };
  }
  throw new Error('the page is not on its proof');
}

describe('the trim on a picture of trim plus bleed', () => {
  it('lies in the middle at its own size', () => {
    const box = trimBoxPx({ width: 640, height: 940 }, spec, ppi);
    expect(box).toEqual({ left: 20, top: 20, width: 600, height: 900 });
  });
});

describe('a proof', () => {
  it('leaves every pixel of the cut page as it was, but for the dashes of the safe line', async () => {
    const proof = await drawProof(plainPage, options, arena);
    const { left, top } = cornerOf(proof, plainPage);
    const trim = trimBoxPx(plainPage, spec, ppi);
    const safe = 40;
    const changed: string[] = [];
    for (let y = 0; y < trim.height; y++) {
      for (let x = 0; x < trim.width; x++) {
        const inset = Math.min(x, y, trim.width - 1 - x, trim.height - 1 - y);
        const was = sampleAt(plainPage, trim.left + x, trim.top + y);
        const is = sampleAt(proof, left + trim.left + x, top + trim.top + y);
        if (was !== is && inset !== safe) changed.push(`${x},${y}: ${was} became ${is}`);
      }
    }
    expect(changed.slice(0, 3)).toEqual([]);
  });

  it.each([4, 128, 250])('shows trim, safe area and fold on art of grey %i', async (grey) => {
    const page = pageOf(() => grey);
    const proof = await drawProof(page, { ...options, isSpread: true }, arena);
    const trim = trimBoxPx(page, spec, ppi);
    const left = Math.floor((proof.width - page.width) / 2) + trim.left;
    const row = Math.floor(proof.height / 2);
    const contrast = (column: number) => {
      const samples = Array.from({ length: 60 }, (_, i) => Math.abs(sampleAt(proof, column, row + i) - grey));
      return Math.max(...samples);
    };
    const trimContrast = Math.max(contrast(left - 1), contrast(left - 2));
    const foldContrast = Math.max(contrast(left + 299), contrast(left + 300));
    for (const seen of [trimContrast, contrast(left + 40), foldContrast]) expect(seen).toBeGreaterThan(50);
    for (const plain of [left + 20, left + 200]) expect(contrast(plain)).toBe(0);
  });

  it('stands on a neutral surround, so that the eye judges the colours and nothing else', async () => {
    const proof = await drawProof(plainPage, options, arena);
    const corners = [0, proof.width - 1, (proof.height - 1) * proof.width, proof.height * proof.width - 1];
    for (const pixel of corners) {
      const [red, green, blue] = proof.data.subarray(pixel * 3, pixel * 3 + 3);
      expect([green, blue]).toEqual([red, red]);
      expect(red).toBeGreaterThan(190);
    }
  });

  it.each<[string, Partial<ProofSlug>]>([
    ['issue', { issue: 'SHN05' }],
    ['title', { title: 'Salt Harbour Days' }],
    ['page', { page: '8' }],
    ['scene', { scene: 'The harbour at dawn' }],
    ['version', { files: [{ ...slug.files[0], version: 3 }] }],
    ['part', { files: [{ ...slug.files[0], part: 'whole' }] }],
    ['file', { files: [{ ...slug.files[0], name: 'SHN04 7.tif' }] }],
    ['date', { date: '2031-03-03' }],
    ['date, or none where the files state none', { date: undefined }],
    ['condition', { condition: 'cgats-tr002, ink limit 240 %' }],
    ['severity', { findings: [{ ...slug.findings[0], severity: 'stop' }] }],
    ['finding', { findings: [finding('warn', 'The colour is at 213 ppi')] }],
    ['measured value', { findings: [{ ...slug.findings[0], measured: '212 ppi' }] }],
    ['soft proof note', { softProofNote: 'paper white shown' }],
  ])('tells the %s in its slug line', async (_what, change) => {
    const proof = await drawProof(plainPage, options, arena);
    const other = await drawProof(plainPage, { ...options, slug: { ...slug, ...change } }, arena);
    expect(hashOfRaster(other)).not.toBe(hashOfRaster(proof));
  });

  it('has its own guides and legend, whatever page was drawn before it', async () => {
    const first = await drawProof(plainPage, options, arena);
    const inInches = await drawProof(plainPage, { ...options, units: 'in' }, arena);
    const closer = await drawProof(plainPage, { ...options, spec: { ...spec, safeMm: 6 } }, arena);
    const dark = pageOf(() => 20);
    const onDark = await drawProof(dark, options, arena);
    for (const other of [inInches, closer, onDark]) {
      expect(Buffer.compare(first.data as Uint8Array, other.data as Uint8Array)).not.toBe(0);
    }
    expect(
      Buffer.compare(
        first.data as Uint8Array,
        (await drawProof(plainPage, options, arena)).data as Uint8Array,
      ),
    ).toBe(0);
    const { left, top } = cornerOf(first, plainPage);
    const at = { x: left + Math.floor(dark.width / 2), y: top + Math.floor(dark.height / 2) };
    expect(sampleAt(onDark, at.x, at.y)).toBe(20);
  });

  it('shows trim, safe area and bleed at the foot of a small page as at its head', async () => {
    const small = { ...spec, trim: { widthMm: 40, heightMm: 26 }, safeMm: 3 };
    const size = bleedBoxPx(small, ppi);
    const white = pageOf(() => 250, size);
    const drawn = await drawProof(white, { ...options, spec: small }, arena);
    const x = Math.floor(drawn.width / 2) + 3;
    const isPage = (y: number) => sampleAt(drawn, x, y) === 250;
    // The rows of the page itself, between its two veiled bleeds.
    const rows = Array.from({ length: drawn.height }, (_, y) => y).filter(isPage);
    const trim = trimBoxPx(size, small, ppi);
    expect((rows.at(-1) ?? 0) - rows[0] + 1).toBeLessThanOrEqual(trim.height);
    const dark = (from: number, to: number) =>
      Array.from({ length: to - from }, (_, i) => sampleAt(drawn, x, from + i)).some(
        (sample) => sample < 120,
      );
    const last = rows.at(-1) ?? 0;
    expect(dark(rows[0] - 4, rows[0])).toBe(true);
    expect(dark(last + 1, last + 5)).toBe(true);
  });

  it('has room for its words under a tiny page', async () => {
    const tiny = pageOf(() => 9, { width: 24, height: 30 });
    const proof = await drawProof(
      tiny,
      { ...options, spec: { ...spec, trim: { widthMm: 5, heightMm: 6 } } },
      arena,
    );
    expect(proof.width).toBeGreaterThan(500);
  });

  it('boxes what findings are about, the gravest over the others, each with the number of its finding', async () => {
    const at = (xMm: number, yMm: number) => ({ xMm, yMm, widthMm: 20, heightMm: 12 });
    const found = { measured: undefined, message: 'as drawn' };
    const findings = [
      { ...found, severity: 'note' as const, places: { shown: [at(30, 40), at(-5.08, -5.08)], inAll: 2 } },
      { ...found, severity: 'stop' as const, places: { shown: [at(35, 45)], inAll: 1 } },
    ];
    const boxes = numberedPlaces(findings);
    expect(boxes.map(({ number, severity }) => [number, severity])).toEqual([
      [1, 'stop'],
      [2, 'note'],
      [2, 'note'],
    ]);
    const drawn = await drawProof(plainPage, { ...options, boxes }, arena);
    const { left, top } = cornerOf(drawn, plainPage);
    const trim = trimBoxPx(plainPage, spec, ppi);
    const px = (mm: number) => Math.round((mm / 25.4) * ppi);
    const isKept = (xMm: number, yMm: number) => {
      const [x, y] = [trim.left + px(xMm), trim.top + px(yMm)];
      return sampleAt(drawn, left + x, top + y) === sampleAt(plainPage, x, y);
    };
    // Within boxes the page is as it was, on their edges it is not.
    expect([isKept(33, 48), isKept(52, 54)]).toEqual([true, true]);
    const changedRows = (xMm: number) => {
      const rows = Array.from({ length: 140 }, (_, step) => 35 + step / 5);
      return rows.filter((yMm) => !isKept(xMm, yMm)).length;
    };
    expect(changedRows(45)).toBeGreaterThan(4);
    expect(changedRows(80)).toBe(0);
  });

  it('takes titles of any kind', async () => {
    for (const title of ['', 'A & B <c> "d"', '\ud800\u{1f600}\u6f22', 'W'.repeat(400)]) {
      const proof = await drawProof(
        plainPage,
        { ...options, slug: { ...slug, title, findings: [finding('note', title)] } },
        arena,
      );
      expect(proof.width).toBeGreaterThan(plainPage.width);
    }
  });

  it('refuses a picture that is not for the screen', async () => {
    const cmyk: Raster = { width: 2, height: 2, model: 'cmyk', alpha: false, data: new Uint8Array(16) };
    await expect(drawProof(cmyk, options, arena)).rejects.toThrow(/rgb, 8 bit/);
  });

  it('is the same, byte for byte, on a machine without fonts', async () => {
    const page = pageOf(() => 90, { width: 300, height: 400 });
    const here = hashOfRaster(await drawProof(page, options, arena));
    expect(hashOfRaster(await drawProof(page, options, arena))).toBe(here);
    const samePage = `{ width: 300, height: 400, model: 'rgb', alpha: false,
      data: Uint8Array.from({ length: 360000 }, (_, i) => 90 + (i % 3)) }`;
    const there = hashDrawnWithoutFonts(
      'dist/pipeline/proof.js',
      `drawn.drawProof(${samePage}, ${JSON.stringify(options)}, arena)`,
    );
    expect(there).toBe(here);
  });
});
