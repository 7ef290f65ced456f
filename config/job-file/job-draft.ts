import * as z from 'zod';
import type { LengthUnit } from '../units.js';
import { extraInk } from './extra-ink-schema.js';
import type { JobPath } from './job-problem.js';
import { assignment, deliverySection, held, pageEntry, scene } from './page-schema.js';
import { printOverrideSchema, printSchema } from './print-schema.js';
import { isMapping } from './shape-problems.js';
import { swatch } from './swatch-schema.js';
import { wordList } from './word-schema.js';

/** An entry of a list or section that is sound in itself, and where it stands. */
export interface Placed<Value> {
  /** Where it stands in job.yaml. */
  readonly at: JobPath;
  /** Its key in a section of names; empty in a list. */
  readonly key: string;
  /** The entry, of the form that its section asks for. */
  readonly value: Value;
}

/** What could be used of a list or section. */
export interface Sound<Value> {
  /** All sound entries, in the order written; empty where the section is missing. */
  readonly entries: readonly Placed<Value>[];
  /** Whether none had to be left out. */
  readonly isWhole: boolean;
}

/**
 * What can be used of a job file, entry by entry, so that the rules between fields are checked even while other fields
 * have mistakes: a person on deadline day wants to hear of all mistakes at once.
 */
export type Draft = ReturnType<typeof draftOf>;

const assignmentOrIgnore = z.union([z.literal('ignore'), assignment]);

/** Sorts the sound entries of a job file's tree from the others. */
export function draftOf(tree: unknown) {
  const file = isMapping(tree) ? tree : {};
  const text = (key: string) =>
    typeof file[key] === 'string' ? file[key].normalize('NFC').trim() : undefined;
  return {
    issue: text('issue'),
    number: text('number') === undefined ? undefined : Number(text('number')),
    units: soundUnit(file.units),
    print: soundSettings(file.print, loosePrint),
    kinds: soundSection(file, 'kinds', printOverrideSchema),
    scenes: soundList(file, 'scenes', scene),
    pages: soundList(file, 'pages', pageEntry),
    held: soundList(file, 'held', held),
    names: soundSection(file, 'names', assignmentOrIgnore),
    parts: soundSection(file, 'parts', wordList),
    extraInks: soundList(file, 'extraInks', extraInk),
    swatches: soundList(file, 'swatches', swatch),
    delivery: soundSettings(file.delivery, deliverySection),
  };
}

function soundUnit(value: unknown): LengthUnit | undefined {
  return value === 'in' || value === 'mm' ? value : undefined;
}

/** The print section with nothing required. */
const loosePrint = printSchema.partial();

/** A section of settings less the keys whose values are wrong. */
function soundSettings<Form extends z.ZodType>(value: unknown, form: Form): Partial<z.infer<Form>> {
  if (!isMapping(value)) return {};
  const kept = Object.entries(value).filter(([key, setting]) => form.safeParse({ [key]: setting }).success);
  const parsed = form.safeParse(Object.fromEntries(kept));
  return parsed.success ? (parsed.data as Partial<z.infer<Form>>) : {};
}

function soundList<Form extends z.ZodType>(
  file: Record<string, unknown>,
  name: string,
  form: Form,
): Sound<z.infer<Form>> {
  const list = file[name];
  if (!Array.isArray(list)) return { entries: [], isWhole: list === undefined };
  const entries: Placed<z.infer<Form>>[] = [];
  for (const [index, item] of list.entries()) {
    const parsed = form.safeParse(item);
    if (parsed.success) entries.push({ at: [name, index], key: '', value: parsed.data });
  }
  return { entries, isWhole: entries.length === list.length };
}

function soundSection<Form extends z.ZodType>(
  file: Record<string, unknown>,
  name: string,
  form: Form,
): Sound<z.infer<Form>> {
  const section = file[name];
  if (!isMapping(section)) return { entries: [], isWhole: section === undefined };
  const given = Object.entries(section);
  const entries: Placed<z.infer<Form>>[] = [];
  for (const [key, item] of given) {
    const parsed = form.safeParse(item);
    if (parsed.success) entries.push({ at: [name, key], key, value: parsed.data });
  }
  return { entries, isWhole: entries.length === given.length };
}
