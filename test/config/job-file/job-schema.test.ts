import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { limitRows } from '../../../config/check-limits/index.js';
import { type JsonSchema, jobFileSchema, jobJsonSchema } from '../../../config/job-file/job-schema.js';
import { printDefaults } from '../../../config/job-file/print-defaults.js';
import { packageRoot } from '../../../config/package-root.js';
import { jobText, problemsOf } from '../job-text.js';

const schema = jobJsonSchema();

/** Every field of the schema with its path. */
function fieldsOf(part: JsonSchema, path: string): [path: string, field: JsonSchema][] {
  const named = Object.entries(part.properties ?? {}).map(
    ([key, field]) => [`${path}.${key}`, field] as const,
  );
  const item =
    part.items !== undefined && !Array.isArray(part.items)
      ? [[`${path}[]`, part.items as JsonSchema] as const]
      : [];
  const other =
    typeof part.additionalProperties === 'object' ? [[`${path}.*`, part.additionalProperties] as const] : [];
  const branches = (part.anyOf ?? []).flatMap((branch) => fieldsOf(branch, path));
  const children = [...named, ...item, ...other];
  return [
    ...children.map(([at, field]): [string, JsonSchema] => [at, field]),
    ...children.flatMap(([at, field]) => fieldsOf(field, at)),
    ...branches,
  ];
}
const fields = fieldsOf(schema, 'job');
const print = schema.properties?.print.properties ?? {};

it("the committed JSON Schema is the code's; if not, run: npm run schema", () => {
  const committed = readFileSync(join(packageRoot(), 'config', 'job.schema.json'), 'utf8');
  expect(JSON.parse(committed)).toEqual(schema);
});

describe('every field', () => {
  it('is found by this test', () => {
    expect(fields.length).toBeGreaterThan(80);
  });

  it('says what it means and what is expected', () => {
    const silent = fields.filter(([path, field]) => {
      const isEntry = /\[\]$/.test(path) && field.properties !== undefined;
      return !isEntry && (field.title === undefined || field.description === undefined);
    });
    expect(silent.map(([path]) => path)).toEqual([]);
  });

  it('that is optional in print states its default', () => {
    const required = schema.properties?.print.required as string[];
    expect(required).toEqual(['trim', 'bleed', 'safe', 'press']);
    for (const [key, field] of Object.entries(print)) {
      if (required.includes(key) || ['line', 'support', 'fidelity', 'checks', 'inkSaving'].includes(key))
        continue;
      expect(field.description, key).toMatch(/ Default: /);
    }
  });

  it('states the default that the code takes', () => {
    const stated = (field: JsonSchema | undefined) => field?.default;
    for (const key of [
      'colourPpi',
      'linePpi',
      'proofPpi',
      'intent',
      'proofPaperWhite',
      'untagged',
      'allowEnlarging',
      'naming',
    ] as const) {
      expect(stated(print[key]), key).toBe(printDefaults[key]);
      expect(print[key].description).toContain(`Default: ${printDefaults[key]}.`);
    }
    for (const key of ['threshold', 'blackLevel', 'blackChroma', 'lift', 'liftLevel'] as const) {
      expect(stated(print.line.properties?.[key]), key).toBe(printDefaults.line[key]);
    }
    for (const key of ['warn', 'stop', 'edge'] as const) {
      expect(stated(print.fidelity.properties?.[key]), key).toBe(printDefaults.fidelity[key]);
    }
    expect(stated(print.support.properties?.ink)).toEqual(printDefaults.support.ink);
    for (const [name, row] of limitRows) {
      expect(stated(print.checks.properties?.[name]), name).toBe(row.default);
    }
    expect(print.support.properties?.choke.description).toContain('Default: 0.25 mm');
    expect(print.support.properties?.minWidth.description).toContain('Default: 2 mm');
  });

  it('states the range that the code keeps', () => {
    for (const [path, { description, minimum, maximum }] of fields) {
      if (minimum === undefined) continue;
      const range = maximum === undefined ? `Range: ${minimum} or more` : `Range: ${minimum} to ${maximum}`;
      expect(description, path).toContain(range);
    }
  });

  it('has an example that the schema itself accepts', () => {
    const bare = {
      issue: 'X',
      title: 'T',
      units: 'in',
      print: { trim: ['6', '10'], bleed: '0', safe: '0', press: 'cgats-tr006' },
    };
    for (const [key, field] of Object.entries(print)) {
      const tried = {
        ...bare,
        print: { ...bare.print, [key]: field.examples?.at(0) },
        pages: [{ page: '1' }],
      };
      expect(jobFileSchema.safeParse(tried).error?.issues, key).toBeUndefined();
    }
  });
});

describe('the shape of a job', () => {
  it.each([
    ['a resolution below 72 ppi', 'colourPpi: 71', 'print.colourPpi cannot be "71"'],
    ['colour above 1200 ppi', 'colourPpi: 1201', 'print.colourPpi cannot be "1201"'],
    ['line above 2400 ppi', 'linePpi: 2401', 'print.linePpi cannot be "2401"'],
    ['an ink limit below 150 %', 'inkLimit: 149', 'print.inkLimit cannot be "149"'],
    ['an ink limit above 400 %', 'inkLimit: 401', 'print.inkLimit cannot be "401"'],
    ['a decimal comma', 'bleed: 0,125', 'print.bleed cannot be "0,125" (write decimals with a point)'],
    [
      'a decimal comma in a size',
      'trim: [6,625, 10.25]',
      'print.trim has more than 2 entries (write decimals with a point)',
    ],
    ['an exponent', 'linePpi: 6e2', 'print.linePpi cannot be "6e2"'],
    ['yes for true', 'proofPaperWhite: yes', 'print.proofPaperWhite cannot be "yes"'],
    ['a percentage over 100', 'line: { threshold: 100 }', 'print.line.threshold cannot be "100"'],
    [
      'an unknown key deep down',
      'line: { treshold: 50 }',
      '"treshold" is not a key of print.line (did you mean "threshold"?)',
    ],
    ['neither black alone nor all inks', 'inks: [cyan, black]', 'inks are neither black alone nor all four'],
    ['two inks for three', 'support: { ink: [60, 40] }', 'print.support.ink[2] is missing'],
    ['a key without value', 'safe:', 'print.safe has no value'],
    ['a section for a value', 'safe: { all: 1 }', 'print.safe cannot be a section of keys'],
  ])('is refused with %s', (_, line, message) => {
    expect(problemsOf(jobText({ print: line }))).toEqual([message]);
  });

  it.each([
    ['2026-12-04T17:00', 'due has no time with a time zone, so nobody can tell when it is'],
    ['2026-12-04', 'due has no time with a time zone, so nobody can tell when it is'],
    ['2026-02-29T17:00Z', 'due is not a date of the calendar'],
    ['2026-13-01T17:00Z', 'due is not a date of the calendar'],
    ['2026-12-04T25:00Z', 'due is not a date of the calendar'],
    ['tomorrow', 'due cannot be "tomorrow"'],
  ])('is refused when due is %s', (due, message) => {
    expect(problemsOf(jobText({ more: `due: ${due}` }))).toEqual([message]);
  });

  // ISO 8601-1: zone as Z or as hours and minutes from UTC; 2028 is a leap year.
  it.each(['2026-12-04T17:00Z', '2026-12-04T17:00:30+01:00', '2028-02-29T00:00-11:30'])(
    'is accepted when due is %s',
    (due) => {
      expect(problemsOf(jobText({ more: `due: ${due}` }))).toEqual([]);
    },
  );

  it.each([
    ['naming for a kind', 'kinds: {cover: {naming: x}}', '"naming" is not a key of kinds.cover'],
    ['flats as a need', 'x', 'pages[0].needs[0] cannot be "flats"'],
    ['a name that is neither page nor ignore', 'names: {a.tif: skip}', 'names["a.tif"] cannot be "skip"'],
    [
      'a mistake inside an assignment',
      'names: {a.tif: {page: 1, part: inks}}',
      'names["a.tif"].part cannot be "inks"',
    ],
    ['a number as part word', 'parts: {line: [12]}', 'parts.line[0] cannot be "12"'],
    ['a finding code in capitals', 'y', '"Colour Low" cannot be a key of pages[0].accept'],
  ])('is refused with %s', (_, more, message) => {
    const pages = { x: '[{page: 1, needs: [flats]}]', y: '[{page: 1, accept: {"Colour Low": fine}}]' }[more];
    const text = pages === undefined ? jobText({ more }) : jobText({ pages });
    expect(problemsOf(text)).toEqual([message]);
  });
});

it('editors read page: 8 as a number, and the JSON Schema allows it', () => {
  const page = fields.find(([path]) => path === 'job.pages[].page')?.[1];
  expect(typeof parse('page: 8').page).toBe('number');
  expect(page?.type).toContain('number');
  expect(page?.type).toContain('string');
});
