import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openPress, type Press } from '../../../config/press.js';
import { planIssue } from '../../../pipeline/issue/plan.js';
import type { PageRequest } from '../../../pipeline/model/page-request.js';
import { productNames } from '../../../pipeline/model/page-result.js';
import { checkedRequest } from '../../../pipeline/queue/page-request-form.js';
import { keysMatch, type SentRequest, sentRequest } from '../../../pipeline/queue/sent-request.js';
import { dropAll, openSmallIssue, type SmallIssue } from '../../helpers/small-issue.js';

type Fields = Record<string, unknown>;

describe('a page request from the queue', () => {
  let issue: SmallIssue;
  let sent: SentRequest;
  let press: Press;
  beforeAll(async () => {
    issue = await openSmallIssue();
    await dropAll(issue);
    const { runs } = await planIssue(issue.job, { pages: undefined, products: productNames });
    const request = runs.map((run) => run.request).find((each) => each?.page.id === '1');
    if (request?.key === undefined) throw new Error('page 1 was not planned');
    sent = sentRequest(request as PageRequest);
    press = await openPress({ kind: 'shipped', name: 'cgats-tr006' });
  });
  afterAll(() => issue.remove());

  /** The request as JSON text with one field changed; `undefined` takes it out. */
  const changed = (path: string, value: unknown): unknown => {
    const whole = JSON.parse(JSON.stringify(sent)) as Fields;
    const steps = path.split('.');
    const last = steps.pop() ?? '';
    let at = whole;
    for (const step of steps) at = at[step] as Fields;
    Object.defineProperty(at, last, { value, enumerable: true, configurable: true });
    return JSON.parse(JSON.stringify(whole));
  };
  const refusal = (value: unknown): string => {
    try {
      checkedRequest(value);
    } catch (thrown) {
      expect(thrown).toMatchObject({ name: 'PlatehandError', code: 'queue-refused' });
      return (thrown as Error).message;
    }
    return 'taken';
  };

  test('is taken as it was sent', () => {
    expect(checkedRequest(JSON.parse(JSON.stringify(sent)))).toEqual(sent);
    expect(keysMatch(checkedRequest(JSON.parse(JSON.stringify(sent))), press)).toBe(true);
  });

  test('names no path of the machine that sent it', () => {
    expect(JSON.stringify(sent)).not.toContain(issue.folder);
  });

  const nul = '\u0000';
  const hostile: readonly (readonly [field: string, value: unknown])[] = [
    ['baseName', '../press/QRY02_1'],
    ['baseName', 'a/b'],
    ['baseName', 'a\\b'],
    ['baseName', '..'],
    ['baseName', ''],
    ['baseName', `a${nul}b`],
    ['baseName', 'con'],
    ['baseName', 'x'.repeat(121)],
    ['baseName', 7],
    ['halfNames', ['a', '../b']],
    ['halfNames', ['a']],
    ['files.0.name', '/etc/passwd'],
    ['files.0.name', '../job.yaml'],
    ['files.0.name', 'ink/../../job.yaml'],
    ['files.0.name', './a.tif'],
    ['files.0.name', 'ink//a.tif'],
    ['files.0.name', 'C:\\a.tif'],
    ['files.0.name', 'a\n.tif'],
    ['files.0.name', 'é'.repeat(128)],
    ['files.0.local', { path: '/etc/passwd' }],
    ['files.0.sha256', 'A'.repeat(64)],
    ['files.0.sha256', 'a'.repeat(63)],
    ['files.0.sha256', `${'a'.repeat(64)}\n`],
    ['files.0.part', 'ink'],
    ['files.0.part', 'varnish ink'],
    ['files.0.part', '../x ink'],
    ['files.0.half', 3],
    ['files.0.bytes', -1],
    ['files.0.bytes', 1.5],
    ['files.0.bytes', 5e9],
    ['files.0.version', Number.NaN],
    ['files.0.picture', 0],
    ['files', []],
    ['files', {}],
    ['outFolder', '/tmp'],
    ['key', 'x'],
    ['key', undefined],
    ['productKeys.press', 5],
    ['productKeys.poster', 'a'.repeat(64)],
    ['products', ['proof', 'proof']],
    ['products', ['poster']],
    ['products', 'proof'],
    ['awaits', ['ink']],
    ['issue', `QRY${'\u001b'}[2J`],
    ['title', 'x'.repeat(201)],
    ['title', ['The Quarry Bells']],
    ['units', 'cm'],
    ['partWords.line', ['x'.repeat(65)]],
    ['partWords.varnish ink', ['gloss']],
    ['partWords', null],
    ['page.id', 'x'.repeat(33)],
    ['page.numbers', [1, 3]],
    ['page.numbers', [1, 2, 3]],
    ['page.accepted', { __proto__: null, 'Not A Code': 'why' }],
    ['page.register.line', 'on'],
    ['page.spec.press', { kind: 'file', path: '/etc/passwd' }],
    ['page.spec.press', { kind: 'shipped', name: 'none' }],
    ['page.spec.press', { kind: 'file', sha256: 'a'.repeat(64), bytes: 9, name: '../p.icc' }],
    ['page.spec.trim.widthMm', 1e9],
    ['page.spec.trim.widthMm', '50'],
    ['page.spec.colourPpi', 1e308],
    ['page.spec.linePpi', 99],
    ['page.spec.proofPpi', 101],
    ['page.spec.inks', ['black', 'cyan']],
    ['page.spec.checks.thinLineMm', 3],
    ['page.spec.checks.thinLineMm', undefined],
    ['page.spec.checks.other', 1],
    ['page.spec.support.minWidthMm', 0.1],
    ['page.spec.blackPointCompensation', 'true'],
    ['page.spec.inkLimitPercent', null],
    ['page.spec', 'spec'],
    ['extraInks', [{ id: '../x' }]],
    ['notes', new Array(1001).fill({})],
    ['notes', new Array(200_000).fill(0)],
    ['notes', 'x'.repeat(3_000_000)],
    ['scene', 'x'.repeat(3_000_000)],
    ['anything', 1],
    ['constructor', {}],
    ['__proto__', { key: 'a'.repeat(64) }],
    ['page.accepted.__proto__', 'agreed'],
    ['page.accepted.constructor', 'agreed'],
  ];
  test.each(hostile)('is refused for %s, whatever else it holds', (field, value) => {
    const message = refusal(changed(field, value));
    expect(message).toMatch(/^A page on the queue is not worked on: /);
    expect(message).toContain(field.split('.').slice(0, 2).join('.').replace(/\.\d$/, ''));
    expect(message.length).toBeLessThan(400);
  });

  test.each([undefined, null, 7, 'text', [], {}, new Date(), () => 0, new Map()])('is no %s', (value) => {
    expect(refusal(value)).toMatch(/not worked on/);
  });

  test('is refused without what a terminal obeys, where the name of a field holds that', () => {
    expect(refusal(changed('\u001b[2Jred', 1))).toContain('\\u001b[2Jred is not known here');
  });

  test('is refused where it is deep, or goes round in a circle', () => {
    let deep: unknown = 1;
    for (let i = 0; i < 5000; i++) deep = [deep];
    expect(refusal(changed('notes', 0) && { ...sent, notes: deep })).toContain('is too deep');
    const circle: Fields = { ...sent };
    circle.page = circle;
    expect(refusal(circle)).toContain('is too deep');
  });

  test('has other keys than it states, where anything that print depends on was changed', () => {
    const spec = { ...sent.page.spec, bleedMm: 4 };
    expect(keysMatch({ ...sent, page: { ...sent.page, spec } }, press)).toBe(false);
    expect(keysMatch({ ...sent, title: 'Another' }, press)).toBe(false);
    expect(keysMatch({ ...sent, key: 'a'.repeat(64) }, press)).toBe(false);
    expect(keysMatch(sent, { ...press, sha256: 'a'.repeat(64) })).toBe(false);
    const productKeys = { ...sent.productKeys, views: 'a'.repeat(64) };
    expect(keysMatch({ ...sent, productKeys }, press)).toBe(false);
  });
});
