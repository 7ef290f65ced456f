import { expect, it } from 'vitest';
import { exitCode, PlatehandError } from '../../../config/errors.js';
import { closest, JobInvalidError, pathText } from '../../../config/job-file/job-problem.js';
import { clashKey } from '../../../config/portable-name.js';

const problem = {
  line: 12,
  column: 5,
  path: 'print.bleed',
  message: 'print.bleed cannot be "-1"',
  expected: 'a length, 0 or more',
  example: 'bleed: 0.125',
};

it('the message of an invalid job lists every problem in a line of its own', () => {
  const error = new JobInvalidError([problem, { ...problem, line: 13, example: '' }]);
  expect(error.message.split('\n')).toEqual([
    'job.yaml:12:5: print.bleed cannot be "-1". Expected a length, 0 or more; for example: bleed: 0.125',
    'job.yaml:13:5: print.bleed cannot be "-1". Expected a length, 0 or more',
  ]);
});

it('an invalid job is a refusal with a code, an exit code and a place', () => {
  const error = new JobInvalidError([problem]);
  expect(error).toBeInstanceOf(PlatehandError);
  expect(error).toMatchObject({ code: 'job-invalid', exitCode: exitCode.wrongUse, problems: [problem] });
  expect(error.place).toEqual({ file: 'job.yaml', line: 12, column: 5 });
});

it('a flood of problems is counted, not listed, and kept whole as data', () => {
  const error = new JobInvalidError(Array.from({ length: 250 }, () => problem));
  expect(error.message.split('\n')).toHaveLength(101);
  expect(error.message).toMatch(/\.\.\. and 150 more\.$/);
  expect(error.problems).toHaveLength(250);
});

it('paths are written as people point at fields', () => {
  expect(pathText(['pages', 2, 'scene'])).toBe('pages[2].scene');
  expect(pathText(['names', 'final (3).tif', 'page'])).toBe('names["final (3).tif"].page');
});

it('the word that was meant is found across a slip of the finger, and not across a different word', () => {
  const words = ['colourPpi', 'linePpi', 'bleed', 'trim'];
  expect(closest('colorPpi', words)).toBe('colourPpi');
  expect(closest('linPPI', words)).toBe('linePpi');
  expect(closest('bleet', words)).toBe('bleed');
  expect(closest('weather', words)).toBeUndefined();
});

it('names are compared without case and however their accents are stored', () => {
  expect(clashKey('CAFE\u0301')).toBe(clashKey('caf\u00e9'));
});
