import { describe, expect, test } from 'vitest';
import { parseJob } from '../../../config/load-job.js';
import { foundIn, jobText, problemsOf } from '../job-text.js';

const filesOf = (files: string, print?: string) =>
  jobText({ more: `delivery: {files: [${files}]}`, ...(print === undefined ? {} : { print }) });

describe('the files of a delivery', () => {
  test('are PDF, composite with line, and proofs unless the job says otherwise; no plates', () => {
    const { delivery, pages } = parseJob(jobText(), '/jobs/tdl03');
    expect(delivery.files).toEqual(['pdf', 'composite', 'line', 'proofs']);
    expect(pages.map(({ spec }) => spec.blackPlate)).toEqual(Array(5).fill('withoutLine'));
  });

  test('are told in one order, in whatever order the job names them', () => {
    const { delivery } = parseJob(filesOf('proofs, line, plates'), '/jobs/tdl03');
    expect(delivery.files).toEqual(['line', 'plates', 'proofs']);
  });

  test('may be the line alone, to go with a composite that was sent before', () => {
    expect(parseJob(filesOf('line'), '/jobs/tdl03').delivery.files).toEqual(['line']);
  });

  test.each([
    ['', /delivery\.files/],
    ['proofs', /nobody can print from proofs alone/],
    ['pdf, line, pdf', /pdf stands in the list twice/],
    ['pdf, plate', /plate/],
  ])('cannot be [%s]', (files, message) => {
    const problems = problemsOf(filesOf(files));
    expect(problems).toHaveLength(1);
    expect(problems[0]).toMatch(message);
  });

  test('hold no plates without line unless the line file goes with them', () => {
    const [problem, ...others] = foundIn(filesOf('pdf, plates'));
    expect(others).toEqual([]);
    expect(problem).toMatchObject({
      message: expect.stringMatching(/plates would go out without the line: .* page cover/),
      expected: expect.stringMatching(/blackPlate: withLine/),
      example: 'files: [pdf, plates, line]',
      line: 10,
    });
    expect(problemsOf(filesOf('plates, line'))).toEqual([]);
    expect(problemsOf(filesOf('plates', 'blackPlate: withLine'))).toEqual([]);
  });

  test('hold plates alone only where the black of every page holds its line', () => {
    const kinds = 'kinds: {cover: {blackPlate: withoutLine}}\ndelivery: {files: [plates]}';
    expect(problemsOf(jobText({ print: 'blackPlate: withLine', more: kinds }))).toEqual([
      expect.stringMatching(/the black plate of page cover holds none/),
    ]);
  });
});
