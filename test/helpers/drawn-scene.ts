import { type Clip, closed, curve, type Point } from './drawn-shapes.js';
import { seeded } from './rasters.js';

/** What is on a drawn page, before it is painted and inked: panels, and in them shapes with their colours. */

export const fittingStyles = [
  'brush',
  'pen',
  'manga',
  'cel',
  'painted',
  'painted-in',
  'sparse',
  'panels',
] as const;
export const tellingNothing = [
  'wash',
  'flat-colour',
  'blooms',
  'grain',
  'stripes',
  'tones',
  'white',
] as const;
/** Colour that follows its line. */
export type FittingStyle = (typeof fittingStyles)[number];
export type Style = (typeof fittingStyles)[number] | (typeof tellingNothing)[number] | 'shapes';

export interface Blob {
  readonly points: readonly Point[];
  readonly colour: readonly number[];
  readonly panel: Panel;
  readonly inner: readonly (readonly Point[])[];
  readonly trapPx: number;
}

export interface Panel extends Clip {
  readonly colour: readonly number[];
}

export interface Scene {
  readonly width: number;
  readonly height: number;
  readonly panels: readonly Panel[];
  readonly blobs: readonly Blob[];
}

export function sceneOf(
  style: Style,
  size: { width: number; height: number },
  seed: number,
  grid: number,
): Scene {
  const panels = style === 'sparse' ? [] : gridOf(size, seeded(grid * 7 + 1), seeded(seed * 31 + 5));
  const random = seeded(seed * 13 + 3);
  const blobs: Blob[] = [];
  if (style === 'panels') return { ...size, panels, blobs };
  const rooms = panels.length > 0 ? panels : [sparseRoom(size, random)];
  for (const panel of rooms) {
    const area = (panel.right - panel.left) * (panel.bottom - panel.top);
    const many = Math.max(2, Math.min(14, Math.round(area / 26000)));
    for (let i = 0; i < many; i++) blobs.push(blobIn(panel, random, i === 0 ? 1.6 : 1));
  }
  return { ...size, panels, blobs };
}

function sparseRoom({ width, height }: { width: number; height: number }, random: () => number): Panel {
  const left = width * (0.15 + 0.2 * random());
  const top = height * (0.2 + 0.2 * random());
  return { left, top, right: left + width * 0.45, bottom: top + height * 0.35, colour: [255, 255, 255] };
}

function gridOf(
  { width, height }: { width: number; height: number },
  random: () => number,
  paint: () => number,
): Panel[] {
  const margin = 40;
  const gutter = 14;
  const rows = 3 + Math.floor(random() * 2);
  const panels: Panel[] = [];
  const high = (height - 2 * margin - (rows - 1) * gutter) / rows;
  for (let row = 0; row < rows; row++) {
    const top = Math.round(margin + row * (high + gutter));
    const cut = random() < 0.3 ? [] : [0.3 + 0.4 * random()];
    let left = margin;
    for (const end of [...cut, 1]) {
      const right = Math.round(margin + (width - 2 * margin) * end - (end < 1 ? gutter / 2 : 0));
      panels.push({ left, top, right, bottom: Math.round(top + high), colour: colourOf(paint) });
      left = right + gutter;
    }
  }
  return panels;
}

export function colourOf(random: () => number): number[] {
  return [90 + random() * 160, 90 + random() * 160, 90 + random() * 160].map(Math.round);
}

function blobIn(panel: Panel, random: () => number, size: number): Blob {
  const wide = panel.right - panel.left;
  const high = panel.bottom - panel.top;
  const centre: Point = [
    panel.left + wide * (0.1 + 0.8 * random()),
    panel.top + high * (0.1 + 0.8 * random()),
  ];
  const radius = Math.min(wide, high) * (0.1 + 0.2 * random()) * size;
  const points = closed(centre, radius, random);
  const inner = Array.from({ length: 3 }, () => curve(centre, radius * 0.7, random));
  return { points, colour: colourOf(random), panel, inner, trapPx: -1 + 3 * random() };
}
