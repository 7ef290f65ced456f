import type { Swatch } from '../../config/job.js';
import { ciede2000, type Lab } from '../../config/press/ciede2000.js';
import type { Separator } from '../inks/separator.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Raster } from '../model/raster.js';
import { processPlanes } from '../model/separation.js';
import type { Rgb } from './oklab.js';
import { around, onScreen, type SwatchOnScreen, searchSteps } from './swatch-colours.js';

/** A painted colour as it prints. */
export interface PrintedColour {
  /** As it is painted, sRGB. */
  readonly rgb: Rgb;
  /** Cyan, magenta, yellow and black, percent. */
  readonly inksPercent: readonly [number, number, number, number];
  /** As it prints, relative to the paper: paper is L 100. */
  readonly lab: Lab;
  /** The same as a screen shows it: the soft proof. */
  readonly shown: Rgb;
  /** From what is wanted, CIEDE2000. */
  readonly shiftDe: number;
}

/** A swatch as a press condition prints it. */
export interface PrintedSwatch {
  readonly swatch: Swatch;
  readonly screen: SwatchOnScreen;
  readonly print: PrintedColour;
  /** How far the press misses it at the nearest, CIEDE2000: see inks/gamut-table.ts; 0 where black alone prints. */
  readonly missedDe: number;
  /** What would have to be painted to come as near as this press can; undefined where that is the swatch itself, or hardly better. */
  readonly nearest: PrintedColour | undefined;
}

/** Another colour is worth painting where it prints nearer by this much: what is seen side by side. Own choice. */
const worthDe = 1;

/** What of a press is asked. */
export type SwatchPress = Pick<Separator, 'separate' | 'labOf' | 'softProof' | 'gamutOf'>;

/**
 * How a press condition prints swatches, by the very way that pages take: the same inks, ink limit and soft proof.
 * @param paperWhite whether the soft proof shows the paper's colour, as proofs do
 */
export function printSwatches(
  swatches: readonly Swatch[],
  press: SwatchPress,
  paperWhite: boolean,
  arena: PageArena,
): PrintedSwatch[] {
  if (swatches.length === 0) return [];
  const screens = swatches.map(({ colour }) => onScreen(colour));
  const print = printer(press, paperWhite, arena);
  const wanted = screens.map(({ lab }) => lab);
  const printed = print(
    screens.map(({ rgb }) => rgb),
    wanted,
  );
  const gamut = press.gamutOf(picture(screens.map(({ rgb }) => rgb)), undefined);
  const best = search(printed, wanted, print);
  return swatches.map((swatch, i) => {
    const [red, green, blue] = screens[i].rgb.map((level) => level / 255);
    const isWorthwhile = best[i].shiftDe <= printed[i].shiftDe - worthDe;
    return {
      swatch,
      screen: screens[i],
      print: printed[i],
      missedDe: gamut?.differenceAt(red, green, blue) ?? 0,
      nearest: isWorthwhile ? best[i] : undefined,
    };
  });
}

/** Colours, one a pixel, in a row. */
function picture(colours: readonly Rgb[]): Raster {
  return {
    ...{ width: colours.length, height: 1, model: 'rgb', alpha: false },
    data: Uint8Array.from(colours.flat()),
  };
}

type Print = (colours: readonly Rgb[], wanted: readonly Lab[]) => PrintedColour[];

function printer(press: SwatchPress, paperWhite: boolean, arena: PageArena): Print {
  return (colours, wanted) => {
    const { separation } = press.separate(picture(colours), undefined, arena);
    const planes = processPlanes(separation);
    const labs = press.labOf(planes);
    const inks = Uint8Array.from({ length: colours.length * 4 }, (_, i) => planes[i % 4][i >> 2]);
    const joined: Raster = { ...picture(colours), model: 'cmyk', data: inks };
    const { data } = press.softProof(joined, { paperWhite }, arena);
    return colours.map((rgb, i) => {
      const lab: Lab = [labs[i * 3], labs[i * 3 + 1], labs[i * 3 + 2]];
      const percent = (ink: number) => (inks[i * 4 + ink] * 100) / 255;
      return {
        rgb,
        inksPercent: [percent(0), percent(1), percent(2), percent(3)],
        lab,
        shown: [data[i * 3], data[i * 3 + 1], data[i * 3 + 2]],
        shiftDe: ciede2000(wanted[i], lab),
      };
    });
  };
}

/** Goes from each colour to whichever around it prints nearer to what is wanted, in ever finer steps; all of them at a time. */
function search(from: readonly PrintedColour[], wanted: readonly Lab[], print: Print): PrintedColour[] {
  const best = [...from];
  for (const step of searchSteps) {
    let moving = best.map((_, i) => i);
    while (moving.length > 0) {
      const asked = moving.flatMap((i) => around(best[i].rgb, step).map((rgb) => ({ i, rgb })));
      const tried = print(
        asked.map(({ rgb }) => rgb),
        asked.map(({ i }) => wanted[i]),
      );
      const moved = new Set<number>();
      for (const [n, { i }] of asked.entries()) {
        if (tried[n].shiftDe >= best[i].shiftDe - 1e-6) continue;
        best[i] = tried[n];
        moved.add(i);
      }
      moving = [...moved];
    }
  }
  return best;
}
