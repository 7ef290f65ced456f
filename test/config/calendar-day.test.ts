import { describe, expect, it } from 'vitest';
import { dayIn, isCalendarDay, isTimeZone, zoneOfTime } from '../../config/calendar-day.js';
import { deliveryName } from '../../config/job-file/delivery-naming.js';
import { parseJob } from '../../config/load-job.js';
import { jobText, problemsOf } from './job-text.js';

describe('the day of a delivery', () => {
  it.each(['2026-11-20', '2024-02-29', '1980-01-01', '2107-12-31'])('may be %s', (day) => {
    expect(isCalendarDay(day)).toBe(true);
  });

  it.each([
    '2026-02-29',
    '2026-13-01',
    '2026-00-10',
    '2026-04-31',
    '2026-1-1',
    '20.11.2026',
    '1979-12-31',
    '',
  ])('cannot be "%s"', (day) => {
    expect(isCalendarDay(day)).toBe(false);
  });

  it('changes at the midnight of the zone that is named, in summer and in winter', () => {
    const winter = Date.parse('2026-11-20T23:30:00Z');
    expect(
      ['UTC', 'Europe/Vienna', '+01:00', '-03:30', 'America/New_York'].map((zone) => dayIn(zone, winter)),
    ).toEqual(['2026-11-20', '2026-11-21', '2026-11-21', '2026-11-20', '2026-11-20']);
    const summer = Date.parse('2026-07-20T22:30:00Z');
    expect([dayIn('Europe/Vienna', summer), dayIn('+01:00', summer)]).toEqual(['2026-07-21', '2026-07-20']);
    expect(dayIn(undefined, summer)).toMatch(/^2026-07-2[01]$/);
  });

  it('is counted where the due time is, unless job.yaml names a zone', () => {
    expect([zoneOfTime('2026-12-04T17:00:00+05:30'), zoneOfTime('2026-12-04T17:00:00Z')]).toEqual([
      '+05:30',
      '+00:00',
    ]);
    const due = 'due: 2026-12-04T17:00:00-08:00';
    expect(parseJob(jobText({ more: due }), '/x').delivery.timeZone).toBe('-08:00');
    const named = `${due}\ndelivery: {timeZone: Asia/Tokyo}`;
    expect(parseJob(jobText({ more: named }), '/x').delivery.timeZone).toBe('Asia/Tokyo');
    expect(['Europe/Vienna', '+14:00', 'Mars/Olympus', '+25:00'].map(isTimeZone)).toEqual([
      true,
      true,
      false,
      false,
    ]);
  });
});

describe('names of deliveries', () => {
  it('hold issue and number of the delivery, and what it is where it is not the whole', () => {
    const job = parseJob(jobText({}), '/x');
    expect((['whole', 'partial', 'supplement'] as const).map((kind) => deliveryName(job, 2, kind))).toEqual([
      'TDL03-2',
      'TDL03-2-partial',
      'TDL03-2-supplement',
    ]);
  });

  it.each([
    ['{issue}', 'the pattern has no {delivery} in it, so all deliveries get one name'],
    ['{issue}-{delivry}', '{delivry} is not a token of naming patterns (did you mean {delivery}?)'],
    ['{issue}/{delivery}', '"/" cannot stand in file names everywhere'],
    ['{number}-{delivery}', 'the pattern has {number} in it, but the job has no number'],
  ])('cannot be made from %s', (naming, message) => {
    const problems = problemsOf(jobText({ more: `delivery: {naming: "${naming}"}` }));
    expect(problems).toEqual([message]);
  });

  it('are refused together with a time zone that is none, both at once', () => {
    expect(problemsOf(jobText({ more: 'delivery: {naming: "{issue}", timeZone: Mars/Olympus}' }))).toEqual([
      'the pattern has no {delivery} in it, so all deliveries get one name',
      'there is no time zone "Mars/Olympus"',
    ]);
  });
});
