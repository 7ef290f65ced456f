import { fromMm, type LengthUnit, type SizeMm } from './units.js';

/** Figures in messages: never rounded to what they are not, and in the number that they are. */

/** A value this close to a limit, as a share of it, is the limit but for the noise of floating point: 299.99997 is 300. */
const noiseShare = 1e-6;

/** No figure is written with more decimals than this. */
const mostDecimals = 9;

/**
 * A value beside the limit that it is held against: rounded, yet with as many more decimals as it takes for the text to be above,
 * at or below the limit as the value is. So 30.04 beside 30 is `30.04`, not `30.0`.
 * @param decimals where that many are enough
 */
export function figureBeside(value: number, limit: number, decimals: number): string {
  const isLimit = Math.abs(value - limit) <= Math.abs(limit) * noiseShare;
  const side = isLimit ? 0 : Math.sign(value - limit);
  const meant = isLimit ? limit : value;
  for (let more = decimals; more < mostDecimals; more++) {
    const text = meant.toFixed(more);
    if (Math.sign(Number(text) - limit) === side) return text;
  }
  return String(meant);
}

/** The value in the middle, the upper of two. @param values one at least; they are brought in order */
export function medianOf(values: number[]): number {
  return values.sort((a, b) => a - b)[values.length >> 1];
}

/** A number with its noun: `1 channel`, `3 channels`. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}

/** Thousandths of a unit: settings such as 3.175 mm or 6.625 in read as they were given. */
const decimals = 3;

/** A length as people read it, in the job's unit: `6.625 in`, `210 mm`. */
export function formatLength(lengthMm: number, unit: LengthUnit): string {
  return `${figure(lengthMm, unit)} ${unit}`;
}

/** A size as people read it, width first: `6.875 x 10.5 in`. */
export function formatSize(size: SizeMm, unit: LengthUnit): string {
  return `${figure(size.widthMm, unit)} x ${figure(size.heightMm, unit)} ${unit}`;
}

function figure(lengthMm: number, unit: LengthUnit): number {
  // The noise of a conversion must not decide which way half a thousandth goes.
  return Number(Number(fromMm(lengthMm, unit).toPrecision(12)).toFixed(decimals));
}

/** A length that was measured on a picture, to 0.1 mm or 0.001 in: no pixel tells more. */
export function formatMeasured(lengthMm: number, unit: LengthUnit): string {
  const decimals = unit === 'in' ? 3 : 1;
  return `${Number(fromMm(lengthMm, unit).toFixed(decimals))} ${unit}`;
}

/** The first letter large, as sentences begin; an address or a file name at the start stays as it is. */
export function sentence(text: string): string {
  return /^\p{Ll}+ /u.test(text) ? `${text[0].toUpperCase()}${text.slice(1)}` : text;
}
