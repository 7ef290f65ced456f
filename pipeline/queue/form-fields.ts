import * as z from 'zod';
import { isInkPart } from '../../config/extra-ink.js';
import { type FilePart, type Part, parts } from '../../config/job.js';
import { longestNameBytes } from '../../config/job-file/naming-rules.js';
import { unportableName } from '../../config/portable-name.js';

/** Fields of what comes from the queue. Nothing is put right here: what is not as it should be is refused. */

/** Text on one line, without control characters. */
export function line(most: number) {
  return z
    .string()
    .min(1)
    .max(most)
    .regex(/^[^\p{Cc}\p{Cs}]*$/u);
}

/** A whole number from 0 on, unless it is said otherwise. */
export function whole(most: number, least = 0) {
  return z.int().min(least).max(most);
}

/** A number within bounds, both included. */
export function within(least: number, most: number) {
  return z.number().min(least).max(most);
}

/** 0 to 100. */
export const percent = within(0, 100);

/** SHA-256 in lower case hexadecimal. */
export const sha256 = z.string().regex(/^[0-9a-f]{64}$/);

/** What every system takes as one step of a path. */
const longestStepBytes = 255;
/** What Linux takes as a whole path. */
const longestPathBytes = 4096;

/** One step of a path as it stands on some machine: any characters but separators and what a terminal obeys. */
function isStep(name: string): boolean {
  return (
    name !== '' &&
    name !== '.' &&
    name !== '..' &&
    !/[/\\\p{Cc}\p{Cs}]/u.test(name) &&
    Buffer.byteLength(name) <= longestStepBytes
  );
}

/** Name of a file in some folder. */
export const stepName = z.string().max(longestStepBytes).refine(isStep, { error: 'is no name of a file' });

/** Name of a working file, relative to incoming/, with forward slashes. */
export const workingName = z
  .string()
  .max(longestPathBytes)
  .refine((name) => name.split('/').every(isStep) && Buffer.byteLength(name) <= longestPathBytes, {
    error: 'is no path below incoming/',
  });

/** Start of the names of what is made, by the rule that job.yaml keeps to. */
export const baseName = z
  .string()
  .max(longestNameBytes)
  .refine((name) => unportableName(name) === undefined && Buffer.byteLength(name) <= longestNameBytes, {
    error: 'is no name that every system can keep',
  });

/** Id of an extra ink. */
export const inkId = z.string().regex(/^[a-z][a-z0-9]{0,23}$/);

/** A part of the picture, or the plate of an extra ink. */
export const neededPart = z.custom<Exclude<FilePart, 'whole'>>((value) => isPart(value) || isInk(value));
/** What a file brings. */
export const filePart = z.custom<FilePart>((value) => value === 'whole' || isPart(value) || isInk(value));

function isPart(value: unknown): value is Part {
  return parts.some((part) => part === value);
}

function isInk(value: unknown): boolean {
  return typeof value === 'string' && isInkPart(value) && /^[a-z][a-z0-9]{0,23} ink$/.test(value);
}

/**
 * A type as JSON leaves it: what may be undefined may be absent, marked by null so that a field which one of two types does not know
 * shows as a difference.
 */
export type Sent<T> = {
  -readonly [Key in keyof T]-?: Sent<Exclude<T[Key], undefined>> | (undefined extends T[Key] ? null : never);
};

/**
 * The type, as long as the form that is to check it gives just that; otherwise what the type check complains about: a field of one
 * that the other has not.
 */
export type InStep<Form, Type> = [Sent<Form>] extends [Sent<Type>]
  ? [Sent<Type>] extends [Sent<Form>]
    ? Type
    : { readonly formLacks: Sent<Type> }
  : { readonly formDiffers: Sent<Type> };
