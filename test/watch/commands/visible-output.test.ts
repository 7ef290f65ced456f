import { execFile } from 'node:child_process';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { eventJson, eventLine } from '../../../watch/daemon/watch-event.js';
import { cliPath } from '../../helpers/daemon.js';
import { openSmallIssue, type SmallIssue } from '../../helpers/small-issue.js';

/** Colours what follows, clears the screen by a control of the second set, turns the text around, begins a line. */
const hostile = '\u001b[31m\u009b2J\u202egpj\nfake: done';
const obeyed = /[\p{Cc}\u202a-\u202e]/u;

let issue: SmallIssue;
beforeAll(async () => {
  issue = await openSmallIssue();
  await issue.drop(`${hostile}.psd`, Buffer.from('x'));
  await issue.drop(`QRY02_p01_${hostile}.tif`, Buffer.from('x'));
});
afterAll(() => issue.remove());

function said(...args: string[]): Promise<string> {
  return new Promise((resolve) => {
    execFile(process.execPath, [cliPath, ...args], (_thrown, out, complaints) => resolve(out + complaints));
  });
}

describe.runIf(process.platform !== 'win32')('names that would be obeyed by a terminal', () => {
  test('are written out by every command, as text and as JSON', async () => {
    const nowhere = join(issue.folder, hostile);
    const outputs = await Promise.all([
      said('status', issue.folder),
      said('status', issue.folder, '--json'),
      said('verify', nowhere),
      said('deliver', issue.folder, '--date', hostile),
    ]);
    for (const output of outputs) {
      expect(output.split('\n').filter((line) => obeyed.test(line))).toEqual([]);
      expect(output).toContain('\\u009b2J\\u202egpj\\nfake');
    }
    // Of what was typed, the parser says a line of its own.
    expect((await said(hostile)).split('\n').filter((line) => obeyed.test(line))).toEqual([]);
    // What is written out in JSON means the same name.
    expect(JSON.parse(outputs[1]).report.unknown.map(({ name }: { name: string }) => name)).toContain(
      `${hostile}.psd`,
    );
  });

  test('are written out in the log of the daemon', () => {
    const at = '2026-11-20T12:00:00.000Z';
    const event = { at, kind: 'set-aside', issue: 'QRY02', folder: '/', message: hostile } as const;
    for (const line of [eventLine(event), eventJson(event)]) expect(line.slice(0, -1)).not.toMatch(obeyed);
  });
});
