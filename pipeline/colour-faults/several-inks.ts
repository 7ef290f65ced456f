import { mmToPx, pxToMm } from '../../config/units.js';
import { PlaceGrid } from '../model/place-grid.js';
import type { MeasuredBox } from '../model/places.js';
import { type ProcessPlanes, processPlanes, type Separation } from '../model/separation.js';

/** Thin line and lettering that several inks print, or that is left white among several inks. */
export interface SeveralInks {
  /** How long it is in all, millimetres; an estimate. */
  readonly lengthMm: number;
  readonly boxes: readonly MeasuredBox[];
}

/** An ink that differs by so much from what it borders on makes an edge of its own, of 255: a quarter of a solid. Own choice. */
const leastInk = 64;
/** Both sides of a line are one ground where no ink differs by more than this, of 255: texture and paint seldom are. Own choice. */
const sameGround = 12;
/** Black from here on, of 255, hides other inks; where they stick out of it, plates out of register are told. */
const blackLevel = 178;

/** Every so-manieth row and column is looked at. */
const every = 6;
/** How far resampling and soft brushes reach beyond a line, in pixels. */
const softPx = 2;
const squareMm = 8;
/** Of a square, millimetres of such line that make it a place. Own choice. */
const leastMm = 4;

/**
 * Looks for line thinner than a limit of which two inks at least end where the line ends, with one ground at both sides: what a press out of
 * register shows in two colours beside each other.
 * @param composite the page as it prints, at `ppi`
 * @param thinMm what counts as thin
 */
export function measureSeveralInks(composite: Separation, ppi: number, thinMm: number): SeveralInks {
  const { width, height } = composite;
  const planes = processPlanes(composite);
  const reach = Math.max(1, Math.ceil(mmToPx(thinMm, ppi))) + softPx;
  const side = Math.max(1, Math.round(mmToPx(squareMm, ppi)));
  const columns = Math.ceil(width / side);
  const crossed = [new Float64Array(columns * Math.ceil(height / side)), new Float64Array(0)];
  crossed[1] = new Float64Array(crossed[0].length);
  const mark = (direction: number) => (i: number) => {
    const [x, y] = [i % width, Math.floor(i / width)];
    crossed[direction][Math.floor(y / side) * columns + Math.floor(x / side)] += every;
  };
  for (let y = every >> 1; y < height; y += every) cross(planes, y * width, 1, width, reach, mark(0));
  for (let x = every >> 1; x < width; x += every) cross(planes, x, width, height, reach, mark(1));
  const grid = new PlaceGrid(composite, side);
  let all = 0;
  for (let i = 0; i < crossed[0].length; i++) {
    // Rows cross what runs down, columns what runs across; what runs aslant is crossed by both.
    const mm = pxToMm(Math.hypot(crossed[0][i], crossed[1][i]), ppi);
    all += mm;
    const [left, top] = [(i % columns) * side, Math.floor(i / columns) * side];
    if (mm > 0) grid.add(left, top, mm, mm, Math.min(side, width - left), Math.min(side, height - top));
  }
  return { lengthMm: all, boxes: grid.boxes(leastMm, (_, mm) => `some ${Math.round(mm)} mm`) };
}

/** Looks along a row or a column for line that crosses it. */
function cross(
  planes: ProcessPlanes,
  from: number,
  stride: number,
  length: number,
  reach: number,
  found: (at: number) => void,
): void {
  const [c, m, y, k] = planes;
  const away = reach * stride;
  for (let n = reach, i = from + away; n < length - reach; n++, i += stride) {
    const [one, other] = [i - away, i + away];
    // Most of a page is flat or paint: cyan and magenta, or yellow with either, have to differ.
    const cyan = Math.abs(c[i] - c[one]) >= leastInk ? 1 : 0;
    const magenta = Math.abs(m[i] - m[one]) >= leastInk ? 1 : 0;
    const yellow = Math.abs(y[i] - y[one]) >= leastInk ? 1 : 0;
    if (cyan + magenta + yellow < 2) continue;
    if (k[i] >= blackLevel || k[one] >= blackLevel) continue;
    if (!isOneGround(planes, one, other) || !isLine(planes, i, one, stride, reach)) continue;
    found(i);
    n += reach;
    i += away;
  }
}

function isOneGround(planes: ProcessPlanes, one: number, other: number): boolean {
  return planes.every((plane) => Math.abs(plane[one] - plane[other]) <= sameGround);
}

/** Whether two inks at least have their edge at the same place, as line has: halfway between it and its ground, at both sides. */
function isLine(planes: ProcessPlanes, i: number, ground: number, stride: number, reach: number): boolean {
  const [, , , black] = planes;
  for (let n = 1; n < reach; n++) {
    if (black[i + n * stride] >= blackLevel || black[i - n * stride] >= blackLevel) return false;
  }
  let inks = 0;
  for (const plane of planes) {
    const by = plane[i] - plane[ground];
    if (Math.abs(by) < leastInk) continue;
    const half = plane[ground] + by / 2;
    const isBeyond = (at: number) => (by > 0 ? plane[at] < half : plane[at] > half);
    let width = 1;
    for (let n = 1; n < reach && !isBeyond(i + n * stride); n++) width++;
    for (let n = 1; n < reach && !isBeyond(i - n * stride); n++) width++;
    if (width <= reach - softPx) inks++;
  }
  return inks >= 2;
}
