import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { inflateSync } from 'node:zlib';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { clearedBy } from '../../pipeline/extra-inks/knock-out.js';
import { readExtraInks } from '../../pipeline/extra-inks/read-plates.js';
import type { IssueReport } from '../../pipeline/issue/report.js';
import { runIssue } from '../../pipeline/issue/run-issue.js';
import { PageArena } from '../../pipeline/kernels/page-arena.js';
import type { Noticed } from '../../pipeline/model/findings.js';
import type { WorkingPicture } from '../../pipeline/model/working-page.js';
import { pagesHere } from '../helpers/pages-here.js';
import { drawn } from '../helpers/rasters.js';
import { maskSamples, type ReadPdf, readPdf } from '../helpers/read-pdf.js';
import { testPage } from '../helpers/reconcile-job.js';
import {
  colourPage,
  inksPage,
  inksTiffOf,
  lineSize,
  openSmallIssue,
  type SmallIssue,
  smallHead,
  tiffOf,
} from '../helpers/small-issue.js';
import { specWith } from '../helpers/specs.js';

/** A page with two inks that overprint, one with an ink that knocks out, a spread in halves, and the first without its inks. */
const jobYaml = `${smallHead}  inkLimit: 300
  foldBleed: 2
  fidelity: { stop: 100 }
extraInks:
  - { id: varnish, words: [varnish, gloss], name: Gloss Varnish, shownAs: [0, 0, 0, 10], bits: 1, inTotal: false }
  - { id: gold, shownAs: [0, 20, 70, 20] }
  - { id: flare, name: Flare Orange, shownAs: [0, 60, 100, 0], overprints: false }
pages:
  - pages: 1-2
  - spread: 4-5
    print: { spreads: split }
  - page: 6
`;

const { width, height } = lineSize;
/** Full ink left of this, half of it to twice as far, then none; in pixels of the line. */
const edgePx = 100;
const toneAt = (x: number) => (x < edgePx ? 0 : x < 2 * edgePx ? 128 : 255);
const plate = drawn(width, height, 'grey', (x) => [toneAt(x)]);

let issue: SmallIssue;
let report: IssueReport;
beforeAll(async () => {
  issue = await openSmallIssue(jobYaml);
  const colour = await tiffOf(colourPage());
  const inks = await inksTiffOf(inksPage());
  const wide = async (file: Buffer) =>
    sharp(file).resize({ width: 835, height: 599, fit: 'fill' }).tiff().toBuffer();
  for (const page of ['1', '2', '6']) {
    await issue.drop(`QRY02_p${page}_colour.tif`, colour);
    await issue.drop(`QRY02_p${page}_inks.tif`, inks);
  }
  await issue.drop('QRY02_p4-5_colour.tif', await wide(colour));
  await issue.drop('QRY02_p1_gloss_v2.tif', await tiffOf(plate));
  await issue.drop('QRY02_p1_gold.tif', await tiffOf(plate));
  await issue.drop('QRY02_p2_flare.tif', await tiffOf(plate));
  await issue.drop('QRY02_p4-5_gold.tif', await wide(await tiffOf(plate)));
  await issue.drop('QRY02_p4-5_inks.tif', await wide(inks));
  report = await runIssue(issue.job, { runner: pagesHere });
});
afterAll(() => issue.remove());

async function inkOf(name: string) {
  const { data, info } = await sharp(join(issue.folder, name))
    .toColourspace('b-w')
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, data: Uint8Array.from(data, (paper) => 255 - paper) };
}

const pageOf = (id: string) => report.pages.find(({ page }) => page === id);
const codesOf = (id: string) => pageOf(id)?.findings.map(({ code }) => code) ?? [];
const pdfOf = async (name: string): Promise<ReadPdf> =>
  readPdf(await readFile(join(issue.folder, 'pdf', name)));

/** Samples of a picture layer: deflate, then horizontal differences undone (ISO 32000-1 section 7.4.4.4). */
function toneSamples(pdf: ReadPdf, layer: string, rowWidth: number): Uint8Array {
  const data = new Uint8Array(inflateSync(pdf.stream('Page', 0, 'Resources', 'XObject', layer).contents));
  for (let i = 0; i < data.length; i++) if (i % rowWidth > 0) data[i] += data[i - 1];
  return data;
}

describe('the plate of an extra ink', () => {
  test('is told by the words that job.yaml gives it, and belongs to its page', () => {
    expect(pageOf('1')?.files.map(({ part, version }) => [part, version])).toEqual([
      ['colour', undefined],
      ['line', undefined],
      ['gold ink', undefined],
      ['varnish ink', 2],
    ]);
    expect(
      pageOf('1')
        ?.outputs.filter(({ product }) => product === 'plates')
        .map(({ role }) => role),
    ).toEqual(['cyan', 'magenta', 'yellow', 'black', 'varnish', 'gold']);
  });

  test('of 8 bits has the amounts of its picture at the size of the colour: black is full ink', async () => {
    const gold = await inkOf('plates/QRY02_1_gold.tif');
    expect([gold.width, gold.height]).toEqual([220, 299]);
    const middle = gold.data.subarray(150 * 220, 151 * 220);
    expect([middle[10], middle[75], middle[200]]).toEqual([255, 127, 0]);
  });

  test('of 1 bit is ink or none at the size of the line plate, decided at the threshold of line', async () => {
    const varnish = await inkOf('plates/QRY02_1_varnish.tif');
    expect([varnish.width, varnish.height]).toEqual([440, 598]);
    expect((await sharp(join(issue.folder, 'plates/QRY02_1_varnish.tif')).metadata()).bitsPerSample).toBe(1);
    const middle = varnish.data.subarray(300 * 440, 301 * 440);
    expect(new Set(middle)).toEqual(new Set([0, 255]));
    // Half ink is 127 of 255, a little less than half.
    expect([middle[edgePx - 2], middle[edgePx + 2]]).toEqual([255, 0]);
  });

  test('of a spread is split where the spread is', async () => {
    const [left, right] = [await inkOf('plates/QRY02_4_gold.tif'), await inkOf('plates/QRY02_5_gold.tif')];
    const cyan = await inkOf('plates/QRY02_4_cyan.tif');
    expect([left.width, left.height]).toEqual([cyan.width, cyan.height]);
    expect(left.data.some((ink) => ink === 255)).toBe(true);
    expect(right.data.every((ink) => ink === 0)).toBe(true);
  });

  test('leaves pages without it as they were', async () => {
    expect(pageOf('6')?.outputs.some(({ role }) => role === 'gold')).toBe(false);
    expect(pageOf('6')?.measures?.extraInks).toBeUndefined();
    // Page 1 is page 6 with two inks that overprint.
    for (const ink of ['cyan', 'black']) {
      const [one, other] = [
        await inkOf(`plates/QRY02_1_${ink}.tif`),
        await inkOf(`plates/QRY02_6_${ink}.tif`),
      ];
      expect(Buffer.compare(one.data, other.data)).toBe(0);
    }
  });
});

describe('what an ink clears', () => {
  const ink = {
    id: 'a',
    name: 'a',
    shownAs: [0, 0, 0, 9],
    bits: 8,
    overprints: false,
    inTotal: true,
  } as const;
  const clearedRow = (...row: number[]) => {
    const size = { width: row.length, height: 1 };
    const data = Uint8Array.from(row);
    return [...clearedBy({ ink, plate: { ...size, data } }, data, size)];
  };

  test('is its full shape, the tints of it like full ink', () => {
    expect(clearedRow(255, 255, 255)).toEqual([255, 255, 255]);
    expect(clearedRow(0, 51, 51, 51, 0)).toEqual([0, 255, 255, 255, 0]);
  });

  test('is in proportion at the edge of a shape, so that no paper shines along it', () => {
    expect(clearedRow(255, 128, 0)).toEqual([255, 128, 0]);
    expect(clearedRow(100, 50, 0)).toEqual([255, 128, 0]);
  });

  test('fades out where the ink does, without a border', () => {
    const cleared = clearedRow(...Array.from({ length: 60 }, (_, i) => i));
    const steps = cleared.slice(1).map((value, i) => Math.abs(value - cleared[i]));
    expect(Math.max(...steps)).toBeLessThanOrEqual(6);
    expect(cleared[55]).toBeGreaterThan(248);
  });
});

describe('an ink that knocks out', () => {
  test('clears process inks and line where it is full, and by its shape where it is a tint', async () => {
    const [cyan, before] = [await inkOf('plates/QRY02_2_cyan.tif'), await inkOf('plates/QRY02_1_cyan.tif')];
    const at = (x: number) => 20 * 220 + x;
    expect(before.data[at(10)]).toBeGreaterThan(20);
    expect([cyan.data[at(10)], cyan.data[at(75)]]).toEqual([0, 0]);
    expect(cyan.data[at(150)]).toBe(before.data[at(150)]);
    const line = await inkOf('press/QRY02_2_line.tif');
    const lineBefore = await inkOf('press/QRY02_1_line.tif');
    const inkIn = ({ data }: { data: Uint8Array }, from: number, to: number) =>
      data.filter((ink, i) => ink > 0 && i % 440 >= from && i % 440 < to).length;
    expect(inkIn(lineBefore, 0, 2 * edgePx - 2)).toBeGreaterThan(1000);
    expect(inkIn(line, 0, 2 * edgePx - 2)).toBe(0);
    expect(inkIn(line, 2 * edgePx + 2, 440)).toBe(inkIn(lineBefore, 2 * edgePx + 2, 440));
  });

  test('is told, and the coverage of plates is what is left of them', () => {
    expect(pageOf('2')?.findings.find(({ code }) => code === 'extra-ink')?.message).toBe(
      'The page prints in Flare Orange too, which knocks out what is beneath',
    );
    const [one, two] = ['1', '2'].map((id) => pageOf(id)?.measures?.coveragePercent.cyan ?? 0);
    expect(two).toBeLessThan(0.7 * one);
  });
});

describe('an extra ink in the PDF', () => {
  test('is a separation as the printer calls it, over the line, and overprints', async () => {
    const pdf = await pdfOf('QRY02_1.pdf');
    const space = (layer: number) => pdf.said('Page', 0, 'Resources', 'ColorSpace', `Ink${layer}`);
    expect(space(0)).toContain('/Separation /Black');
    expect(space(1)).toContain('/Separation /Gloss#20Varnish /DeviceCMYK');
    expect(space(2)).toContain('/Separation /gold /DeviceCMYK');
    expect(space(2)?.replace(/\s+/g, ' ')).toContain('/C1 [ 0 0.2 0.7 0.2 ]');
    const content = Buffer.from(pdf.stream('Page', 0, 'Contents').contents).toString('latin1');
    expect(content.match(/\/\w+ Do/g)).toEqual(['/Picture Do', '/Layer0 Do', '/Layer1 Do', '/Layer2 Do']);
    expect(content.match(/q \/Over gs/g)).toHaveLength(3);
    expect(pdf.said('Page', 0, 'Resources', 'ExtGState', 'Over', 'OP')).toBe('true');
  });

  test('holds the samples of its plate, of 1 bit as a mask and of 8 as a picture', async () => {
    const pdf = await pdfOf('QRY02_1.pdf');
    const varnish = await inkOf('plates/QRY02_1_varnish.tif');
    expect(Buffer.compare(await maskSamples(pdf, 0, 1), varnish.data)).toBe(0);
    const gold = await inkOf('plates/QRY02_1_gold.tif');
    expect(Buffer.compare(toneSamples(pdf, 'Layer2', gold.width), gold.data)).toBe(0);
    expect(pdf.at('Page', 0, 'Resources', 'XObject', 'Layer2', 'ColorSpace')).toBe(
      pdf.at('Page', 0, 'Resources', 'ColorSpace', 'Ink2'),
    );
  });

  test('is in the PDF of all pages as well', async () => {
    const [whole, single] = [await pdfOf('QRY02_all-pages.pdf'), await pdfOf('QRY02_1.pdf')];
    expect(Buffer.compare(toneSamples(whole, 'Layer2', 220), toneSamples(single, 'Layer2', 220))).toBe(0);
    expect(whole.said('Page', 0, 'Resources', 'ColorSpace', 'Ink1')).toBe(
      single.said('Page', 0, 'Resources', 'ColorSpace', 'Ink1'),
    );
  });
});

describe('all inks together', () => {
  test('are held against the ink limit, those aside that job.yaml leaves out of it', () => {
    const { extraInks } = pageOf('1')?.measures ?? {};
    const after = pageOf('1')?.measures?.inkAfterPercent ?? 0;
    expect(extraInks?.inks.map(({ name, overprints }) => [name, overprints])).toEqual([
      ['Gloss Varnish', true],
      ['gold', true],
    ]);
    // Gold alone is counted; it is full where the line has its support ink.
    expect(extraInks?.mostPercent).toBeGreaterThan(after);
    expect(extraInks?.mostPercent).toBeLessThanOrEqual(after + 100.001);
    expect(codesOf('6')).not.toContain('extra-ink-total');
  });
});

describe('the proof', () => {
  /** Pixels of the legend, above the page, that look like an orange. */
  async function orangeAbove(page: string): Promise<number> {
    const path = join(issue.folder, 'proofs', `QRY02_${page}_proof.png`);
    const { width = 0 } = await sharp(path).metadata();
    const legend = sharp(path).extract({ left: 0, top: 0, width, height: 40 });
    const { data } = await legend.removeAlpha().raw().toBuffer({ resolveWithObject: true });
    let count = 0;
    for (let i = 0; i < data.length; i += 3) if (data[i] > data[i + 2] + 150 && data[i + 1] < 180) count++;
    return count;
  }

  test('has a legend with a patch of the ink, and shows it on the page by what stands for it', async () => {
    expect(await orangeAbove('2')).toBeGreaterThan(50);
    expect(await orangeAbove('6')).toBe(0);
    const corner = async (page: string) => {
      const path = join(issue.folder, 'proofs', `QRY02_${page}_proof.png`);
      const { width = 0, height = 0 } = await sharp(path).metadata();
      const area = { left: Math.round(width / 2) - 60, top: Math.round(height / 4), width: 4, height: 4 };
      const { channels } = await sharp(await sharp(path).extract(area).toBuffer()).stats();
      return channels.map(({ mean }) => mean);
    };
    const [sky, flare] = [await corner('6'), await corner('2')];
    expect(sky[2]).toBeGreaterThan(sky[0]);
    expect(flare[0]).toBeGreaterThan(flare[2] + 100);
  });
});

describe('a plate that cannot be used', () => {
  const ink = {
    id: 'a',
    name: 'Gold',
    shownAs: [0, 0, 0, 9],
    bits: 8,
    overprints: true,
    inTotal: true,
  } as const;
  const file = { name: 'p4_gold.ora', part: 'a ink', version: 1, picture: 1, bytes: 1, sha256: '' } as const;
  const local = { path: '', seen: { bytes: 1, mtimeMs: 0, ctimeMs: 0, inode: 0 } };
  const page = testPage('4-5', [4, 5], { spec: specWith() });
  const layers = { kind: 'layered', width: 9, height: 9, noticed: [] } as unknown as WorkingPicture;

  test.each([
    ['half of a spread', { ...file, local, half: 4 }, 'extra-ink-halves'],
    ['layers', { ...file, local }, 'extra-ink-layers'],
  ])('%s stops the page, with what to do', async (_, one, code) => {
    const noticed: Noticed[] = [];
    const asked = { extraInks: [ink], page, units: 'mm' } as const;
    const arena = new PageArena();
    expect(await readExtraInks(asked, [one], async () => layers, undefined, noticed, arena)).toEqual([]);
    expect(noticed).toMatchObject([{ code, severity: 'stop', file: 'p4_gold.ora' }]);
    expect(noticed[0].remedy).toMatch(/as one picture/);
  });
});
