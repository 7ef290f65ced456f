import { describe, expect, test } from 'vitest';
import { inWords, writeFailed } from '../../../pipeline/files/disk-trouble.js';

const refused = (code: string, syscall: string) =>
  Object.assign(new Error(`${code}: ${syscall} '/jobs/tdl03/.platehand/paused'`), {
    ...{ code, syscall, path: '/jobs/tdl03/.platehand/paused' },
  });

describe('what the system says about a write', () => {
  test('is told in words, with its place, also where nobody has put it into words before', () => {
    for (const [code, syscall, what] of [
      ['EROFS', 'unlink', /read-only/],
      ['ENOSPC', 'open', /full, or takes no more files/],
      ['EDQUOT', 'open', /share of the disk/],
      ['EACCES', 'mkdir', /access was denied/],
    ] as const) {
      expect(inWords(refused(code, syscall))).toMatchObject({
        code: 'write-failed',
        what: expect.stringMatching(what),
        place: { file: '/jobs/tdl03/.platehand/paused' },
      });
    }
  });

  test('is not guessed at where it was not asked to write, or is no trouble of a disk', () => {
    for (const thrown of [refused('EACCES', 'scandir'), refused('ENOENT', 'open'), new TypeError('x'), 'x']) {
      expect(inWords(thrown)).toBe(thrown);
    }
  });

  test('is not put into words twice', () => {
    const once = writeFailed('/a', refused('EROFS', 'open'));
    expect(writeFailed('/b', once)).toBe(once);
  });
});
