import { execFileSync } from 'node:child_process';
import { appendFile, mkdir, mkdtemp, readdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { appendToLedger, ledgerPath, readLedger } from '../../../watch/daemon/ledger.js';
import { type LedgerRecord, ledgerLine, readLedgerLine } from '../../../watch/daemon/ledger-lines.js';

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'ledger-'));
});
afterEach(() => rm(folder, { recursive: true }));

const arrival = (file: string): LedgerRecord => ({ at: '2026-11-20T12:00:00.000Z', kind: 'arrived', file });
const asides = async () =>
  (await readdir(join(folder, '.platehand'))).filter((name) => name.startsWith('ledger.torn-'));

describe('a line of the ledger', () => {
  test('carries a checksum over all that stands before it', () => {
    const line = ledgerLine(7, arrival('p01.tif')).trimEnd();
    expect(JSON.parse(line)).toMatchObject({
      seq: 7,
      kind: 'arrived',
      sum: expect.stringMatching(/^[0-9a-f]{16}$/),
    });
    expect(readLedgerLine(line)).toEqual({ seq: 7, ...arrival('p01.tif') });
  });

  test('is refused when any one of its characters was changed or is missing', () => {
    const line = ledgerLine(7, arrival('p01.tif')).trimEnd();
    for (let at = 0; at < line.length; at++) {
      const other = line[at] === 'x' ? 'y' : 'x';
      expect(
        readLedgerLine(line.slice(0, at) + other + line.slice(at + 1)),
        `changed at ${at}`,
      ).toBeUndefined();
      expect(readLedgerLine(line.slice(0, at)), `cut at ${at}`).toBeUndefined();
    }
  });
});

describe('a line with a very long message', () => {
  test('keeps its beginning, and says how long it was', () => {
    const record: LedgerRecord = { ...arrival('p01.tif'), message: 'mistakes '.repeat(50_000) };
    const line = ledgerLine(7, record).trimEnd();
    expect(line.length).toBeLessThan(4500);
    expect(readLedgerLine(line)?.message).toMatch(/^mistakes mistakes .*\[cut: 450000 characters\]$/);
    const usual = { ...record, message: 'm'.repeat(4000) };
    expect(readLedgerLine(ledgerLine(7, usual).trimEnd())).toEqual({ seq: 7, ...usual });
  });
});

describe('the ledger', () => {
  test('numbers its lines and keeps their order, whoever adds to it at the same time', async () => {
    await Promise.all(
      Array.from({ length: 8 }, (_, i) => appendToLedger(folder, [arrival(`a${i}`), arrival(`b${i}`)])),
    );
    const { records, damage } = await readLedger(folder);
    expect(damage).toEqual([]);
    expect(records.map(({ seq }) => seq)).toEqual(Array.from({ length: 16 }, (_, i) => i + 1));
    for (let i = 0; i < 16; i += 2) expect(records[i + 1].file).toBe(records[i].file?.replace('a', 'b'));
  });

  test('torn anywhere in its last line is repaired with nothing lost', async () => {
    await appendToLedger(folder, [arrival('one'), arrival('two')]);
    const whole = await readFile(ledgerPath(folder), 'utf8');
    const lastStart = whole.indexOf('\n') + 1;
    for (const cut of [lastStart + 1, lastStart + 20, whole.length - 2, whole.length - 1]) {
      await rm(join(folder, '.platehand'), { recursive: true });
      await mkdir(join(folder, '.platehand'));
      await writeFile(ledgerPath(folder), whole.slice(0, cut));
      expect(await appendToLedger(folder, [arrival('three')])).toEqual({ repaired: true });
      const { records, damage } = await readLedger(folder);
      expect(damage).toEqual([]);
      expect(records.map(({ kind, file }) => file ?? kind)).toEqual(['one', 'repaired', 'three']);
      const [aside] = await asides();
      expect(await readFile(join(folder, '.platehand', aside), 'utf8')).toBe(whole.slice(lastStart, cut));
    }
  });

  test('loses nothing however long its last line is, torn or sound', async () => {
    await appendToLedger(folder, [arrival('one'), { ...arrival('x'.repeat(600_000)), page: '7' }]);
    expect(await appendToLedger(folder, [arrival('three')])).toEqual({ repaired: false });
    await appendFile(ledgerPath(folder), 'y'.repeat(600_000));
    expect(await appendToLedger(folder, [arrival('four')])).toEqual({ repaired: true });
    const { records, damage } = await readLedger(folder);
    expect(damage).toEqual([]);
    expect(records.map(({ kind, page, file }) => page ?? (kind === 'repaired' ? kind : file))).toEqual([
      'one',
      '7',
      'three',
      'repaired',
      'four',
    ]);
  });

  test('that cannot be opened says why, and is not made anew', async () => {
    await mkdir(ledgerPath(folder), { recursive: true });
    await expect(appendToLedger(folder, [arrival('one')])).rejects.toThrow(/a folder has that name/);
  });

  test('with zeros at its end, as some power cuts leave them, is repaired too', async () => {
    await appendToLedger(folder, [arrival('one')]);
    await appendFile(ledgerPath(folder), Buffer.alloc(300));
    await appendToLedger(folder, [arrival('two')]);
    expect((await readLedger(folder)).records.map(({ kind }) => kind)).toEqual([
      'arrived',
      'repaired',
      'arrived',
    ]);
  });

  test('damaged in the middle is told of, read around and left as it is', async () => {
    await appendToLedger(folder, [arrival('one'), arrival('two'), arrival('three')]);
    const text = await readFile(ledgerPath(folder), 'utf8');
    await writeFile(ledgerPath(folder), text.replace('"two"', '"zwo"'));
    const { records, damage } = await readLedger(folder);
    expect(records.map(({ file }) => file)).toEqual(['one', 'three']);
    expect(damage).toEqual([{ line: 2, what: 'the line does not agree with its checksum' }]);
    await appendToLedger(folder, [arrival('four')]);
    expect((await readFile(ledgerPath(folder), 'utf8')).startsWith(text.replace('"two"', '"zwo"'))).toBe(
      true,
    );
  });

  test('with a line taken out is told of', async () => {
    await appendToLedger(folder, [arrival('one'), arrival('two'), arrival('three')]);
    const lines = (await readFile(ledgerPath(folder), 'utf8')).split('\n');
    await writeFile(ledgerPath(folder), [lines[0], lines[2], ''].join('\n'));
    expect((await readLedger(folder)).damage).toEqual([{ line: 2, what: 'number 3 follows number 1' }]);
  });

  test('grows by appending only', async () => {
    await appendToLedger(folder, [arrival('one')]);
    const before = await stat(ledgerPath(folder));
    const text = await readFile(ledgerPath(folder), 'utf8');
    await appendToLedger(folder, [arrival('two')]);
    expect((await stat(ledgerPath(folder))).ino).toBe(before.ino);
    expect((await readFile(ledgerPath(folder), 'utf8')).startsWith(text)).toBe(true);
  });

  test('of a folder that has none is empty', async () => {
    expect(await readLedger(folder)).toEqual({ records: [], damage: [] });
  });
});

test.runIf(process.platform !== 'win32')(
  'a pipe in place of a ledger is damage, and nobody waits for it',
  async () => {
    await mkdir(join(folder, '.platehand'));
    execFileSync('mkfifo', [ledgerPath(folder)]);
    expect(await readLedger(folder)).toEqual({
      records: [],
      damage: [{ line: 1, what: 'it is not a file' }],
    });
  },
);
