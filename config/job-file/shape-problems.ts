import { stringify } from 'yaml';
import type * as z from 'zod';
import { closest, didYouMean, type FoundProblem, type JobPath, pathText } from './job-problem.js';
import { type JsonSchema, jobJsonSchema } from './job-schema.js';

type Issue = z.core.$ZodIssue;

/**
 * Turns what zod found into problems in plain words: what stands there, what was expected (from the field's title) and an
 * example (from the field's examples).
 *
 * @param issues of one zod error
 * @param tree the value that was checked
 * @param under where in the job file that value stands
 */
export function shapeProblems(issues: readonly Issue[], tree: unknown, under: JobPath = []): FoundProblem[] {
  return issues.flatMap((issue) => problemsOf(issue, tree, under));
}

function problemsOf(issue: Issue, tree: unknown, under: JobPath): FoundProblem[] {
  const path = issue.path.map((step) => (typeof step === 'symbol' ? String(step) : step));
  const at = [...under, ...path];
  const value = valueAt(tree, path);
  if (issue.code === 'unrecognized_keys') return issue.keys.map((key) => unknownKey(at, key));
  if (issue.code === 'invalid_key') return [badKey(at)];
  if (issue.code === 'invalid_union' && isMapping(value)) {
    // The branch that speaks of the mapping's fields is the one that was meant.
    const meant = issue.errors.find((branch) =>
      branch.some((inner) => inner.path.length > 0 || inner.code === 'unrecognized_keys'),
    );
    if (meant !== undefined) return shapeProblems(meant, value, at);
  }
  return [badValue(at, value, issue)];
}

function badValue(at: JobPath, value: unknown, issue: Issue): FoundProblem {
  const schema = schemaAt(at);
  const name = at.length === 0 ? 'the file' : pathText(at);
  let message = `${name} cannot be ${shown(value)}`;
  if (value === undefined) message = `${name} is missing`;
  if (value === null) message = at.length === 0 ? 'the file is empty' : `${name} has no value`;
  if (issue.code === 'too_big' && Array.isArray(value))
    message = `${name} has more than ${issue.maximum} entries`;
  if (issue.code === 'too_big' && typeof value === 'string' && value.length > Number(issue.maximum)) {
    message = `${name} is longer than ${issue.maximum} characters`;
  }
  if (issue.code === 'custom') message = issue.message;
  // 6,625 in brackets becomes two numbers.
  const isComma =
    typeof value === 'string' ? /^\d+,\d+$/.test(value) : issue.code === 'too_big' && Array.isArray(value);
  const comma = isComma && at.includes('print') ? ' (write decimals with a point)' : '';
  const meant =
    typeof value === 'string' && Array.isArray(schema?.enum) ? didYouMean(value, schema.enum) : '';
  return {
    at,
    on: value === undefined ? 'key' : 'value',
    message: `${message}${comma}${meant}`,
    expected: at.length === 0 ? 'issue, title, units, print and pages' : (schema?.title ?? 'keys and values'),
    example: exampleLine(at, schema),
  };
}

function unknownKey(section: JobPath, key: string): FoundProblem {
  const known = Object.keys(schemaAt(section)?.properties ?? {});
  const meant = closest(key, known);
  const where = section.length === 0 ? jobTop : pathText(section);
  const home = meant === undefined && section.length === 0 ? homeOf(key) : undefined;
  if (home !== undefined) {
    const message = `"${key}" is not a key of ${where}; it belongs under ${home}`;
    const example = `${home}: {${exampleLine([home, key], schemaAt([home, key])) || `${key}: ...`}}`;
    return { at: [...section, key], on: 'key', message, expected: `${key} under ${home}:`, example };
  }
  return {
    at: [...section, key],
    on: 'key',
    message: `"${key}" is not a key of ${where}${didYouMean(key, known)}`,
    expected: `one of ${known.join(', ')}`,
    example: meant === undefined ? '' : exampleLine([...section, meant], schemaAt([...section, meant])),
  };
}

/** The section that has such a key, where it stands beside its section instead of in it. */
function homeOf(key: string): string | undefined {
  return ['print', 'delivery'].find((section) => Object.hasOwn(schemaAt([section])?.properties ?? {}, key));
}

const jobTop = 'job.yaml';

function badKey(at: JobPath): FoundProblem {
  const section = at.slice(0, -1);
  const schema = schemaAt(section)?.propertyNames;
  return {
    at,
    on: 'key',
    message: `${shown(at.at(-1))} cannot be a key of ${pathText(section)}`,
    expected: schema?.title ?? 'another key',
    example: exampleLine(section, schemaAt(section)),
  };
}

/** What stands in the file, short enough for a message. */
function shown(value: unknown): string {
  if (Array.isArray(value)) return 'a list';
  if (isMapping(value)) return 'a section of keys';
  const text = JSON.stringify(String(value));
  return text.length > 60 ? `${text.slice(0, 56)}..."` : text;
}

/** A line of YAML that shows a field with its example. */
function exampleLine(at: JobPath, schema: JsonSchema | undefined): string {
  const example = schema?.examples?.at(0);
  if (example === undefined) return '';
  const text = yamlInline(example);
  const key = at.at(-1);
  return typeof key === 'string' ? `${yamlInline(key)}: ${text}` : text;
}

/** A value as it stands in YAML on one line. */
function yamlInline(value: unknown): string {
  return stringify(value, { collectionStyle: 'flow', lineWidth: 0, flowCollectionPadding: false }).trim();
}

let schemaOfJob: JsonSchema | undefined;

/** The field of the JSON Schema that a path leads to. */
export function schemaAt(at: JobPath): JsonSchema | undefined {
  schemaOfJob ??= jobJsonSchema();
  let schema: JsonSchema | undefined = schemaOfJob;
  for (const step of at) schema = schema === undefined ? undefined : stepInto(schema, step);
  return schema;
}

function stepInto(schema: JsonSchema, step: string | number): JsonSchema | undefined {
  if (typeof step === 'number') return isList(schema.items) ? schema.items.at(step) : schema.items;
  const branches = [schema, ...(schema.anyOf ?? [])];
  for (const branch of branches) {
    if (branch.properties !== undefined && Object.hasOwn(branch.properties, step))
      return branch.properties[step];
    if (typeof branch.additionalProperties === 'object') return branch.additionalProperties;
  }
  return undefined;
}

function isList(items: JsonSchema['items']): items is readonly JsonSchema[] {
  return Array.isArray(items);
}

function valueAt(tree: unknown, path: JobPath): unknown {
  let value = tree;
  for (const step of path) {
    if (typeof value !== 'object' || value === null || !Object.hasOwn(value, step)) return undefined;
    value = (value as Record<string | number, unknown>)[step];
  }
  return value;
}

/** Whether a value is a section: an object that is no list. */
export function isMapping(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
