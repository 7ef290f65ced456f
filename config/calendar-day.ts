/**
 * Days of the calendar, as deliveries are dated by: `2026-11-20`. Which day it is depends on where one asks, so every
 * question names its time zone.
 */

const dayPattern = /^(\d{4})-(\d{2})-(\d{2})$/;
const offsetPattern = /^([+-])(\d{2}):(\d{2})$/;

/** The years that the time of a ZIP entry can hold, both included (APPNOTE 4.4.6: seven bits from 1980 on). */
const firstYear = 1980;
const lastYear = 2107;

/** Whether the calendar has such a day; months and days count from 1. Years before 1000 are none. */
export function isDay(year: number, month: number, day: number): boolean {
  if (!(year >= 1000 && year <= 9999 && month >= 1 && month <= 12 && day >= 1)) return false;
  return day <= new Date(Date.UTC(year, month, 0)).getUTCDate();
}

/** Whether a text is a day of the calendar, `YYYY-MM-DD`, that a ZIP can hold: 1980 to 2107. */
export function isCalendarDay(text: string): boolean {
  const found = dayPattern.exec(text);
  if (found === null) return false;
  const [year, month, day] = found.slice(1).map(Number);
  return year >= firstYear && year <= lastYear && isDay(year, month, day);
}

/** Whether a text names a time zone: `Europe/Vienna` and the like (IANA), `UTC`, or hours from UTC as `+01:00`. */
export function isTimeZone(text: string): boolean {
  if (offsetPattern.test(text)) return Math.abs(offsetMinutes(text)) <= 14 * 60;
  try {
    new Intl.DateTimeFormat('en', { timeZone: text });
    return true;
  } catch {
    return false;
  }
}

/**
 * The day that it is somewhere at a moment.
 * @param atMs milliseconds since 1970
 * @param timeZone as `isTimeZone` takes it; undefined is the machine's own
 */
export function dayIn(timeZone: string | undefined, atMs: number): string {
  if (timeZone !== undefined && offsetPattern.test(timeZone)) {
    return new Date(atMs + offsetMinutes(timeZone) * 60_000).toISOString().slice(0, 10);
  }
  const zone = timeZone === undefined ? {} : { timeZone };
  const form = new Intl.DateTimeFormat('en', { ...zone, year: 'numeric', month: '2-digit', day: '2-digit' });
  const parts = new Map(form.formatToParts(atMs).map(({ type, value }) => [type, value]));
  return `${parts.get('year')}-${parts.get('month')}-${parts.get('day')}`;
}

/** The zone that a time in ISO 8601 ends with, as hours from UTC. */
export function zoneOfTime(time: string): string {
  return offsetPattern.test(time.slice(-6)) ? time.slice(-6) : '+00:00';
}

function offsetMinutes(offset: string): number {
  const [, sign, hours, minutes] = offsetPattern.exec(offset) ?? [];
  return (sign === '-' ? -1 : 1) * (Number(hours) * 60 + Number(minutes));
}
