import { channelsOf, maxOf, type Raster } from '../model/raster.js';
import type { EdgeMap } from './edge-maps.js';
import { type Window, windowPx } from './windows.js';

/** How a page is coloured, as far as it tells whether its edges have to follow a line. */
interface Manner {
  /** Share of all steps of the colour that the steepest tenth of places makes: 1 for flats, 0.2 for grain. */
  readonly crispness: number;
  /** From 0, edges run in all directions, to 1, all run in one: stripes do. */
  readonly oneWay: number;
  /** Share of all steps that run neither along rows nor along columns: 0 where boxes are all there is. */
  readonly slanted: number;
  /** Share of the page that is bare paper. */
  readonly paper: number;
  /** Share of the places where the colour steps: few percent for shapes. */
  readonly busy: number;
}

/** Flats have no other steps than their borders; washes with hard borders stay below. Measured on drawn pages. */
const flatsCrispness = 0.85;
/** Below this it is grain, or all soft. */
const leastCrispness = 0.3;
/** Edges that run more in one direction than this are a pattern. */
const mostOneWay = 0.7;
/** A step is slanted where its lesser direction has this share of the greater: by some 11 degrees. */
const leastSlant = 0.2;
/** Pages with fewer of them have nothing left to be told by: boxes have 0.02, drawn pages 0.18 and more. */
const leastSlanted = 0.05;
/** A page that steps in more places than this is covered with a pattern, such as the dots of a tone: drawn pages have up to 0.12. */
const mostBusy = 0.2;
/** Gutters and margins of paper show that colour keeps to panels; a wash over the whole page has none. */
const leastPaper = 0.03;

/**
 * Whether the colour is made of shapes that some line has to go with: flats, or paint that leaves gutters white. A wash, grain or
 * a pattern says nothing by not following the line; boxes say nothing but what pages of a series share.
 */
export function isMadeOfShapes(colour: Raster, windows: readonly Window[]): boolean {
  const { crispness, oneWay, slanted, paper, busy } = mannerOf(colour, windows);
  if (oneWay > mostOneWay || slanted < leastSlanted || busy > mostBusy) return false;
  return crispness >= flatsCrispness || (crispness >= leastCrispness && paper >= leastPaper);
}

/** Every so many pixels of a window are looked at. */
const step = 2;

function mannerOf(colour: Raster, windows: readonly Window[]): Manner {
  const steps = new Uint32Array(256);
  let [level, turned, slanted, all] = [0, 0, 0, 0];
  for (const window of windows) {
    eachStep(colour, window, (across, down) => {
      const square = across * across + down * down;
      steps[Math.min(255, Math.round(Math.sqrt(square)))]++;
      level += across * across - down * down;
      turned += 2 * across * down;
      if (isSlanted(across, down)) slanted += square;
      all += square;
    });
  }
  return {
    crispness: shareOfSteepest(steps),
    oneWay: all === 0 ? 0 : Math.hypot(level, turned) / all,
    slanted: all === 0 ? 0 : slanted / all,
    paper: paperShare(colour),
    busy: busyShare(steps),
  };
}

function isSlanted(across: number, down: number): boolean {
  const [one, other] = [Math.abs(across), Math.abs(down)];
  return Math.min(one, other) > leastSlant * Math.max(one, other);
}

/** Calls `see` with the steps of the colour across and down, of 255: those of its second channel, green, or the only one. */
function eachStep(
  { width, height, data, ...model }: Raster,
  { left, top }: Window,
  see: (across: number, down: number) => void,
): void {
  const channels = channelsOf(model);
  const level = 255 / maxOf({ data });
  const stride = width * channels;
  const middle = channels > 2 ? 1 : 0;
  for (let y = Math.max(1, top); y < Math.min(height - 1, top + windowPx); y += step) {
    for (let x = Math.max(1, left); x < Math.min(width - 1, left + windowPx); x += step) {
      const at = y * stride + x * channels + middle;
      see(
        level * (data[at + channels] - data[at - channels]),
        level * (data[at + stride] - data[at - stride]),
      );
    }
  }
}

/** Steps above this count no more, of 255: a few strong borders must not outweigh the rest. */
const mostStep = 64;

function shareOfSteepest(steps: Uint32Array): number {
  const places = steps.reduce((sum, count) => sum + count, 0);
  let left = places / 10;
  let steepest = 0;
  let sum = 0;
  for (let step = 255; step > 0; step--) {
    const height = Math.min(mostStep, step);
    const taken = Math.min(left, steps[step]);
    left -= taken;
    steepest += taken * height;
    sum += steps[step] * height;
  }
  return sum === 0 ? 0 : steepest / sum;
}

/** Pixels looked at for paper lie so far apart. */
const paperStepPx = 16;

/** Paper is at least this light in each channel, of 255. Common practice, no published source. */
const paperLevel = 250;

function paperShare({ width, height, model, data, alpha }: Raster): number {
  const channels = channelsOf({ model, alpha });
  const level = 255 / maxOf({ data });
  let [paper, all] = [0, 0];
  for (let y = paperStepPx >> 1; y < height; y += paperStepPx) {
    for (let x = paperStepPx >> 1; x < width; x += paperStepPx, all++) {
      const at = (y * width + x) * channels;
      const values = data.subarray(at, at + channels);
      const isPaper = (value: number) =>
        (model === 'cmyk' ? 255 - level * value : level * value) >= paperLevel;
      if (values.every(isPaper)) paper++;
    }
  }
  return all === 0 ? 0 : paper / all;
}

/** The colour steps where two pixels away it differs by more than this, of 255. */
const leastStep = 24;

function busyShare(steps: Uint32Array): number {
  const places = steps.reduce((sum, count) => sum + count, 0);
  const steep = steps.subarray(leastStep).reduce((sum, count) => sum + count, 0);
  return places === 0 ? 0 : steep / places;
}

/** A border of a panel runs upright through so much of the page's height at least; a page of panels has so many. */
const leastRun = 0.1;
const leastBorders = 3;
/** An upright border shows in so many of the looks into a cell. */
const leastMet = 3;

/**
 * Whether colour keeps to panels, by the upright borders that it has. Such colour goes with the line that has these panels; shapes that keep
 * to none may be meant to go their own ways.
 */
export function keepsToPanels({ columns, rows, across }: EdgeMap): boolean {
  let borders = 0;
  for (let x = 0; x < columns; x++) {
    let run = 0;
    for (let y = 0; y < rows; y++) {
      run = across[y * columns + x] >= leastMet ? run + 1 : 0;
      if (run === Math.ceil(leastRun * rows)) borders++;
    }
  }
  return borders >= leastBorders;
}
