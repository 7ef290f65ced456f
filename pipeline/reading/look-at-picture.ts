import { openRegular } from '../../config/regular-file.js';
import { fileSource } from './byte-source.js';
import { pngSignature } from './png-picture.js';
import { checkFileSize, defaultReadLimits } from './read-limits.js';
import { readTiff, tiffNumber, tiffTag } from './tiff-directory.js';

/** What a picture shows of itself: flat fills without line, or a flattened page; `unclear` where it may be either. */
export type FillsOrPage = 'flat fills' | 'a flattened page' | 'unclear';

/**
 * Whether a TIFF or PNG holds one bit a pixel, black and white: only its header is read.
 * @returns false for every other file, one that is damaged or still on its way included
 */
export async function isOneBit(path: string): Promise<boolean> {
  const opened = await openRegular(path).catch(() => undefined);
  if (opened === undefined) return false;
  const { handle, size } = opened;
  try {
    const source = fileSource(handle, size, path);
    const head = await source.read(0, Math.min(26, size));
    // Bit depth and colour type of a PNG (third edition, 11.2.1): 1 bit, grey.
    if (head.subarray(0, pngSignature.length).equals(pngSignature)) return head[24] === 1 && head[25] === 0;
    if (!/^(?:II[*+]\0|MM\0[*+])/.test(head.toString('latin1', 0, 4))) return false;
    const tiff = await readTiff(source);
    const [first] = tiff.directories;
    const read = (tag: number, otherwise: number) => tiffNumber(tiff, first, tag, otherwise);
    // TIFF 6.0: both default to 1; photometric 0 and 1 are black and white, 3 is a palette.
    const isSingle =
      (await read(tiffTag.bitsPerSample, 1)) === 1 && (await read(tiffTag.samplesPerPixel, 1)) === 1;
    return isSingle && (await read(tiffTag.photometric, 1)) <= 1;
  } catch {
    return false;
  } finally {
    await handle.close();
  }
}

/** Pixels across and down that are looked at; taken one by one, never mixed, so that no colour is seen that is not there. */
const lookedAtPx = 600;
/** Levels a channel that are told apart: JPEG moves a flat fill by less. Own choice. */
const levels = 16;
/** So much of flat fills is flat; the rest is soft or saved edges. Own choices here and below, with their pictures in the test. */
const fillsShare = 0.97;
/** Flat fills have at most so many colours on that share. */
const mostFills = 80;
/** So much of any picture is looked at for paint: what JPEG adds along the edges of fills lies beyond. */
const paintShare = 0.85;
/** A painted page has more colours than these on that share; fills of a flatter do not, as JPEG neither. */
const leastPaint = 120;
/** Dark as line is, in black or sepia, of 255. */
const darkLevel = 100;
/** Fills without line have less of it than this share of the page; panel borders alone are more. */
const leastLine = 0.01;
/** A page that is inked has at least this share of it in strokes; panel borders alone are less. */
const leastInked = 0.05;

interface Look {
  /** Colours, of `levels` a channel, that cover `fillsShare` of the picture. */
  readonly fills: number;
  /** Colours that cover `paintShare` of it. */
  readonly paint: number;
  /** Share of the pixels that are dark with something else close on both sides. */
  readonly thinDark: number;
}

/**
 * Whether a picture is flat fills or a flattened page: flat fills have few colours and no black line; a flattened page
 * has many, or strokes of line with soft edges over its fills.
 * @returns `unclear` where it has few colours and line, as a page of the simplest style has, or cannot be read
 */
export async function fillsOrPage(path: string): Promise<FillsOrPage> {
  try {
    await checkFile(path);
    const { default: sharp } = await import('sharp');
    const { data, info } = await sharp(path, { limitInputPixels: defaultReadLimits.maxPixels })
      .resize(lookedAtPx, lookedAtPx, {
        fit: 'inside',
        kernel: 'nearest',
        withoutEnlargement: true,
        fastShrinkOnLoad: false,
      })
      .flatten({ background: '#fff' })
      .toColourspace('srgb')
      .raw()
      .toBuffer({ resolveWithObject: true });
    const { fills, paint, thinDark } = looked(data, info.width, info.height, info.channels);
    if (paint > leastPaint || (fills > mostFills && thinDark > leastInked)) return 'a flattened page';
    return fills <= mostFills && thinDark < leastLine ? 'flat fills' : 'unclear';
  } catch {
    return 'unclear';
  }
}

/** The image library would wait for a pipe, and read through a file of any size. */
async function checkFile(path: string): Promise<void> {
  const { handle, size } = await openRegular(path);
  await handle.close();
  checkFileSize(size, path);
}

function looked(data: Buffer, width: number, height: number, channels: number): Look {
  const counts = new Map<number, number>();
  const isDark = new Uint8Array(width * height);
  const step = 256 / levels;
  for (let at = 0; at < isDark.length; at += 1) {
    const [r, g, b] = [0, 1, 2].map((channel) => data[at * channels + Math.min(channel, channels - 1)]);
    const key = (Math.floor(r / step) * levels + Math.floor(g / step)) * levels + Math.floor(b / step);
    counts.set(key, (counts.get(key) ?? 0) + 1);
    isDark[at] = Math.max(r, g, b) < darkLevel ? 1 : 0;
  }
  const bySize = [...counts.values()].sort((a, b) => b - a);
  const cover = (share: number) => coloursThatCover(bySize, isDark.length * share);
  return { fills: cover(fillsShare), paint: cover(paintShare), thinDark: thinShare(isDark, width, height) };
}

function coloursThatCover(bySize: readonly number[], pixels: number): number {
  let left = pixels;
  let colours = 0;
  for (const count of bySize) {
    if (left <= 0) break;
    left -= count;
    colours += 1;
  }
  return colours;
}

/** Strokes of line are at most so many of the looked-at pixels wide. */
const strokePx = 6;

/** The share of pixels that lie in a run of dark across or down that is no wider than a stroke. */
function thinShare(isDark: Uint8Array, width: number, height: number): number {
  const isThin = new Uint8Array(isDark.length);
  const along = (start: number, step: number, length: number) => {
    let run = 0;
    for (let at = 0; at <= length; at += 1) {
      if (at < length && isDark[start + at * step] === 1) run += 1;
      else {
        if (run > 0 && run <= strokePx && run < at && at < length)
          for (let back = 1; back <= run; back += 1) isThin[start + (at - back) * step] = 1;
        run = 0;
      }
    }
  };
  for (let y = 0; y < height; y += 1) along(y * width, 1, width);
  for (let x = 0; x < width; x += 1) along(x, width, height);
  return isThin.reduce((sum, each) => sum + each, 0) / isThin.length;
}
