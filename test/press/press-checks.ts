import { mkdtemp, readdir, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import sharp from 'sharp';
import { outputBaseName } from '../../config/job-file/naming.js';
import { ciede2000, type Lab } from '../../config/press/ciede2000.js';
import { bleedBoxPx, type PrintSpec, trimBoxPx } from '../../config/print-spec.js';
import type { IssueReport, PageReport } from '../../pipeline/issue/report.js';
import type { OutputFile } from '../../pipeline/model/page-result.js';
import { localStore } from '../../pipeline/store/local-store.js';
import type { SmallIssue } from '../helpers/small-issue.js';
import { ghostscript, told } from './press-tools.js';

/** What is held against other programs. */

/** One thing that was looked at. */
export interface Outcome {
  readonly what: string;
  readonly isRight: boolean;
}

/** Every page's PDF of an issue. */
function pdfsOf(report: IssueReport): { page: PageReport; output: OutputFile; base: string }[] {
  return report.pages.flatMap((page) =>
    page.outputs
      .filter(({ product }) => product === 'pdf')
      .map((output) => ({ page, output, base: output.name.replace(/\.pdf$/, '') })),
  );
}

/** qpdf finds no fault in any file, that of all pages included. */
export async function checkStructure({ folder }: SmallIssue): Promise<Outcome[]> {
  const names = (await readdir(join(folder, 'pdf'))).sort();
  return Promise.all(
    names.map(async (name) => {
      const { code, said } = await told('qpdf', ['--check', join(folder, 'pdf', name)]);
      const first = said.split('\n').find((line) => /WARNING|ERROR/.test(line)) ?? 'no fault';
      return { what: `${name}: qpdf says ${first}`, isRight: code === 0 };
    }),
  );
}

/** A hundredth of a millimetre, and the two decimals in which poppler tells points. */
const boxToleranceMm = 0.01 + (0.005 / 72) * 25.4;

/** Trim and bleed are what the job says, as poppler reads them: the bleed at the fold is 2 mm, else 3. */
export async function checkBoxes({ folder }: SmallIssue, report: IssueReport): Promise<Outcome[]> {
  const outcomes: Outcome[] = [];
  for (const { page, output } of pdfsOf(report)) {
    const { said } = await told('pdfinfo', ['-box', join(folder, 'pdf', output.name)]);
    const [bleed, trim] = ['BleedBox', 'TrimBox'].map((name) => {
      const numbers =
        said
          .match(new RegExp(`${name}:(.*)`))?.[1]
          .trim()
          .split(/\s+/) ?? [];
      return numbers.map((each) => (Number(each) / 72) * 25.4);
    });
    const isWhole = page.page.includes('-') && output.half === undefined;
    const folds = output.half === undefined ? [3, 3] : output.half % 2 === 0 ? [3, 2] : [2, 3];
    const found = [
      trim[2] - trim[0] - (isWhole ? 100 : 50),
      trim[3] - trim[1] - 70,
      trim[0] - bleed[0] - folds[0],
      bleed[2] - trim[2] - folds[1],
      trim[1] - bleed[1] - 3,
      bleed[3] - trim[3] - 3,
    ];
    const most = Math.max(...found.map(Math.abs));
    outcomes.push({
      what: `${output.name}: boxes off by ${most.toFixed(4)} mm`,
      isRight: most <= boxToleranceMm,
    });
  }
  return outcomes;
}

const inkNames = ['cyan', 'magenta', 'yellow', 'black'] as const;

/** Resolution of the line in these jobs, and how many of its pixels a pixel of the colour is wide. */
const linePpi = 300;
const linePixels = 2;

/** What Ghostscript puts on each plate is what the plates and the line say: C, M and Y also beneath the line. */
export async function checkSeparations({ folder }: SmallIssue, report: IssueReport): Promise<Outcome[]> {
  const outcomes: Outcome[] = [];
  for (const { page, output, base } of pdfsOf(report)) {
    const most = await inTemporary(async (temporary) => {
      const to = join(temporary, 's%02d.tif');
      const file = join(folder, 'pdf', output.name);
      await ghostscript(['-sDEVICE=tiffsep', `-r${linePpi}`, '-sCompression=none', '-o', to, file]);
      const line = await inkOf(join(folder, 'press', `${base}_line.tif`)).catch(() => undefined);
      const differences: number[] = [];
      for (const ink of inkNames) {
        const plate = await inkOf(join(folder, 'plates', `${base}_${ink}.tif`));
        const name = ink[0].toUpperCase() + ink.slice(1);
        const printed = await inkOf(join(temporary, `s01(${name}).tif`));
        differences.push(mostDifference(printed, plate, ink === 'black' ? line : undefined));
      }
      for (const ink of extraInksOf(page))
        differences.push(await extraDifference(folder, base, temporary, ink));
      return differences;
    });
    const extra = extraInksOf(page).map(({ name }) => `, ${name}`);
    const what = `${output.name}: plates off by ${most.join(', ')} of 255 in C, M, Y, K${extra.join('')}`;
    outcomes.push({ what, isRight: most.every((each) => each <= 1) });
  }
  return outcomes;
}

const extraInksOf = ({ measures }: PageReport) => measures?.extraInks?.inks ?? [];

/** What Ghostscript puts on the plate of an extra ink, held against that plate: of 8 bits at the colour's resolution, of 1 at the line's. */
async function extraDifference(
  folder: string,
  base: string,
  temporary: string,
  { id, name }: { readonly id: string; readonly name: string },
): Promise<number> {
  const plate = await inkOf(join(folder, 'plates', `${base}_${id}.tif`));
  const printed = await inkOf(join(temporary, `s01(${name}).tif`));
  const isFine = plate.width * linePixels > printed.width;
  return mostDifference(printed, plate, undefined, isFine ? 1 : linePixels);
}

interface InkPlate {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array;
}

/** Ink of a single channel, 255 full. The image library gives paper as 255. */
async function inkOf(path: string): Promise<InkPlate> {
  const bytes = await readFile(path);
  const { data, info } = await sharp(bytes).toColourspace('b-w').raw().toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, data: Uint8Array.from(data, (paper) => 255 - paper) };
}

/** The largest difference within the picture, which lies in the middle of what was printed. */
/** @param times pixels of what was printed to one of the plate */
function mostDifference(
  printed: InkPlate,
  plate: InkPlate,
  line: InkPlate | undefined,
  times = linePixels,
): number {
  const width = plate.width * times;
  const left = (printed.width - width) / 2;
  const top = (printed.height - plate.height * times) / 2;
  if (!Number.isInteger(left) || !Number.isInteger(top) || left < 0 || top < 0) return 255;
  let most = 0;
  for (let y = 0; y < plate.height * times; y++) {
    for (let x = 0; x < width; x++) {
      const ink = plate.data[Math.floor(y / times) * plate.width + Math.floor(x / times)];
      const wanted = Math.max(ink, line?.data[y * width + x] ?? 0);
      most = Math.max(most, Math.abs(printed.data[(top + y) * printed.width + left + x] - wanted));
    }
  }
  return most;
}

/**
 * CIEDE2000 between the cut page as Ghostscript shows it with overprint and as our proof does: of half of the pixels, and of all in the
 * mean. They go from inks to light by other engines, so that flats differ by 0.5 to 0.9. At the edge of line they reduce by other
 * filters, one in inks and one in light, and small pages have much of it: 2.2 to 3.8 in the mean here, 0.8 without line; half of a
 * screened tone by 1.4. A page that lay beside its place by two pixels of the proof was off by 4.1 to 6.5 in the mean.
 */
const mostHalfDe = 2;
const mostMeanDe = 4;

/** The page looks as the proof does: the proof's own small picture, which has no lines drawn over it. */
export async function checkLooks({ folder, job }: SmallIssue, report: IssueReport): Promise<Outcome[]> {
  const outcomes: Outcome[] = [];
  for (const { page, output } of pdfsOf(report).filter((one) => one.output.half === undefined)) {
    const thumbnail = page.outputs.find(({ product }) => product === 'thumbnail');
    const listed = job.pages.find(({ id }) => id === page.page);
    if (thumbnail === undefined || listed === undefined) continue;
    const proof = localStore(folder).pathOf(outputBaseName(job, listed), page.key, thumbnail.name);
    const { mean, half } = await inTemporary(async (temporary) => {
      const to = join(temporary, 'page.png');
      const profile = fileURLToPath(
        new URL(`../../config/profiles/${page.condition?.id}.icc`, import.meta.url),
      );
      const colour = [`-sDefaultCMYKProfile=${profile}`, '-dRenderIntent=1', '-dBlackPtComp=1'];
      const device = ['-sDEVICE=png16m', `-r${linePpi}`, '-dOverprint=/simulate'];
      const allowed = `--permit-file-read=${profile}`;
      await ghostscript([allowed, ...device, ...colour, '-o', to, join(folder, 'pdf', output.name)]);
      return differenceOf(await asProofed(to, output, listed.spec), proof);
    });
    const what = `${output.name}: CIEDE2000 to the proof ${half.toFixed(2)} for half of it, ${mean.toFixed(2)} in the mean`;
    outcomes.push({ what, isRight: half <= mostHalfDe && mean <= mostMeanDe });
  }
  return outcomes;
}

/** The part of a printed page that the proof shows as its trim, in the proof's pixels. */
async function asProofed(path: string, { width, height }: OutputFile, spec: PrintSpec): Promise<Buffer> {
  const { width: printedWidth, height: printedHeight } = await sharp(path).metadata();
  const picture = { width: width * linePixels, height: height * linePixels };
  const left = (printedWidth - picture.width) / 2;
  const top = (printedHeight - picture.height) / 2;
  const proofed = bleedBoxPx(spec, spec.proofPpi);
  const whole = await sharp(path)
    .extract({ left, top, ...picture })
    .resize({ ...proofed, fit: 'fill' })
    .png()
    .toBuffer();
  return sharp(whole)
    .extract(trimBoxPx(proofed, spec, spec.proofPpi))
    .png()
    .toBuffer();
}

async function differenceOf(page: Buffer, proof: string): Promise<{ mean: number; half: number }> {
  const { width, height } = await sharp(page).metadata();
  const labOf = async (picture: Buffer | string) => {
    const small = sharp(picture).removeAlpha().resize({ width, height, fit: 'fill' }).toColourspace('lab');
    const data = await small.raw({ depth: 'float' }).toBuffer();
    return new Float32Array(data.buffer, data.byteOffset, data.length / 4);
  };
  const [one, other] = [await labOf(page), await labOf(proof)];
  const lab = (of: Float32Array, i: number): Lab => [of[i], of[i + 1], of[i + 2]];
  const differences = Float64Array.from({ length: one.length / 3 }, (_, pixel) => {
    return ciede2000(lab(one, 3 * pixel), lab(other, 3 * pixel));
  }).sort();
  const sum = differences.reduce((all, each) => all + each, 0);
  return { mean: sum / differences.length, half: differences[differences.length >> 1] };
}

async function inTemporary<T>(work: (folder: string) => Promise<T>): Promise<T> {
  const folder = await mkdtemp(join(tmpdir(), 'check-press-'));
  try {
    return await work(folder);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}
