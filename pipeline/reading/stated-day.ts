import { isDay } from '../../config/calendar-day.js';
import { readDirectory, type Tiff, type TiffDirectory, tiffNumbers, tiffTag } from './tiff-directory.js';

/**
 * The day that a file says it is from, such as `2031-03-02`, as it stands in its header: never what the file system says, so that a
 * copy says the same. What is damaged, or no day of the calendar, says nothing.
 */

/** ZIP writers that know no time write the first day of their calendar, clocks that were never set show one before it. */
const unsetDay = '1980-01-01';

const monthNames = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec'];

/** @returns undefined for what is no day of the calendar, or one that clocks show which were never set */
export function dayOf(year: number, month: number, day: number): string | undefined {
  if (!isDay(year, month, day)) return undefined;
  const text = [year, month, day].map((part) => String(part).padStart(2, '0')).join('-');
  return text > unsetDay ? text : undefined;
}

/** The latest of some days; undefined where there is none. */
export function latestDay(days: readonly (string | undefined)[]): string | undefined {
  return days
    .filter((day) => day !== undefined)
    .sort()
    .at(-1);
}

/**
 * The day in a text as files state it: `2031:03:02 10:20:30` (TIFF 6.0 tag 306, EXIF), `2031-03-02T10:20:30Z` (RFC 3339) or `Sun, 2 Mar
 * 2031 10:20:30 GMT` (RFC 1123). It is taken as it stands: whoever wrote it meant a day where they were.
 */
export function statedDay(text: string): string | undefined {
  const figures = /^\s*(\d{4})[:-](\d{2})[:-](\d{2})(?!\d)/.exec(text);
  if (figures !== null) return dayOf(Number(figures[1]), Number(figures[2]), Number(figures[3]));
  const words = /^\s*(?:[A-Za-z]{3}, *)?(\d{1,2}) ([A-Za-z]{3}) (\d{4})(?!\d)/.exec(text);
  if (words === null) return undefined;
  return dayOf(Number(words[3]), monthNames.indexOf(words[2].toLowerCase()) + 1, Number(words[1]));
}

/** tIME (PNG, third edition, 11.3.6.1): year in two bytes, month, day, then the time, which is UTC. */
export function dayOfTimeChunk(chunk: Buffer | undefined): string | undefined {
  return chunk?.length === 7 ? dayOf(chunk.readUInt16BE(0), chunk[2], chunk[3]) : undefined;
}

/** tEXt (PNG 11.3.4.3): a keyword, a zero, Latin-1 text. `Creation Time` is the one that states a day. */
export function dayOfTextChunk(chunk: Buffer): string | undefined {
  const mark = 'Creation Time\0';
  if (chunk.toString('latin1', 0, mark.length) !== mark) return undefined;
  return statedDay(chunk.toString('latin1', mark.length, mark.length + mostLetters));
}

/** The date of a ZIP entry as PKWARE's APPNOTE, 4.4.6, has it: five bits of day, four of month, seven of years since 1980. */
export function dayOfDosDate(date: number): string | undefined {
  return dayOf(1980 + ((date >> 9) & 0x7f), (date >> 5) & 0x0f, date & 0x1f);
}

/** A date of TIFF and EXIF takes 20 characters; what is longer is looked at no further. */
const mostLetters = 64;

const ascii = 2;

/**
 * The latest day that a TIFF directory states, by its DateTime and by its EXIF directory's DateTimeOriginal and
 * DateTimeDigitized.
 */
export async function dayOfTiff(tiff: Tiff, directory: TiffDirectory): Promise<string | undefined> {
  try {
    const own = await dayOfTag(tiff, directory, tiffTag.dateTime);
    const [exifAt] = (await tiffNumbers(tiff, directory, tiffTag.exifDirectory)) ?? [];
    if (exifAt === undefined) return own;
    const { directory: exif } = await readDirectory(tiff, exifAt);
    const taken = await dayOfTag(tiff, exif, tiffTag.dateTimeOriginal);
    return latestDay([own, taken, await dayOfTag(tiff, exif, tiffTag.dateTimeDigitized)]);
  } catch {
    // Metadata: the picture is whole without them.
    return undefined;
  }
}

async function dayOfTag(tiff: Tiff, directory: TiffDirectory, tag: number): Promise<string | undefined> {
  const field = directory.get(tag);
  if (field?.type !== ascii) return undefined;
  return statedDay((await tiff.source.read(field.at, Math.min(field.count, mostLetters))).toString('latin1'));
}
