import * as z from 'zod';
import { type ErrorCode, exitCode, messageOf, PlatehandError } from '../../config/errors.js';
import { isDiskTrouble } from '../files/disk-trouble.js';

/** What became of a page on the queue. */
export type JobOutcome =
  /** What came of it stands in the store. */
  | {
      readonly kind: 'done';
      /** What its worker handed back, as anybody may have written it. */
      readonly told: unknown;
    }
  /** The page, or the request, was refused. */
  | { readonly kind: 'refused'; readonly refusal: PlatehandError }
  /** A fault of the program, with its trace. */
  | { readonly kind: 'fault'; readonly message: string; readonly trace: string }
  /** Its worker was told that nobody wants it any more. */
  | { readonly kind: 'dropped' }
  /** This process stopped waiting. */
  | { readonly kind: 'closed' };

/** Texts from another machine are shown to people: so long, and no longer. */
const mostText = 20_000;

const text = z.string().max(mostText);

/** What a worker says of a page that came to nothing, as the queue keeps it. */
const failureForm = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('refused'),
    worker: text,
    code: text,
    what: text,
    remedy: text,
    place: z.strictObject({
      file: text.exactOptional(),
      line: z.number().exactOptional(),
      column: z.number().exactOptional(),
      page: text.exactOptional(),
    }),
    exitCode: z.literal(Object.values(exitCode)),
  }),
  z.strictObject({ kind: z.literal('fault'), worker: text, message: text, trace: text }),
  z.strictObject({ kind: z.literal('dropped'), worker: text }),
]);

/** One of them. */
export type ToldFailure = z.infer<typeof failureForm>;

/** Why a page came to nothing, as text for the queue. */
export function failureText(worker: string, thrown: unknown): string {
  const cut = (long: string) => long.slice(0, mostText);
  const told = (): ToldFailure => {
    if (thrown instanceof PlatehandError) {
      const { code, what, remedy, place, exitCode } = thrown;
      return {
        kind: 'refused',
        worker,
        code,
        what: cut(what),
        remedy: cut(remedy),
        place: { ...place },
        exitCode,
      };
    }
    const trace = thrown instanceof Error ? (thrown.stack ?? '') : '';
    return { kind: 'fault', worker, message: cut(messageOf(thrown)), trace: cut(trace) };
  };
  return JSON.stringify(told());
}

/** What a worker says of a page that it left because nobody wants it any more. */
export function droppedText(worker: string): string {
  return JSON.stringify({ kind: 'dropped', worker } satisfies ToldFailure);
}

/** Reads what a worker said; undefined where the queue itself gave the page up, or where it is no text of a worker's. */
export function readFailure(reason: string): ToldFailure | undefined {
  try {
    return failureForm.parse(JSON.parse(reason));
  } catch {
    return undefined;
  }
}

/** What became of a page that failed, from what the queue remembers of it. */
export function failureTold(reason: string): JobOutcome {
  const told = readFailure(reason);
  if (told === undefined) return { kind: 'refused', refusal: workersGone(reason) };
  if (told.kind !== 'refused') return told;
  const { what, remedy, place, exitCode } = told;
  // The code is for programs: one that this version does not know is passed on as it is.
  const refusal = new PlatehandError(told.code as ErrorCode, what, remedy, { place, exitCode });
  return { kind: 'refused', refusal };
}

/** The queue gives a page up whose worker went away several times while it was at it. */
export function workersGone(reason: string): PlatehandError {
  const why = /stalled/.test(reason) ? 'each worker that had the page was gone before it was done' : reason;
  return new PlatehandError(
    'page-process',
    `The work on the page ended without an answer: ${why}`,
    'Look whether workers run out of memory (platehand workers), then run the page again.',
    { exitCode: exitCode.attention },
  );
}

/** What the store has lost each time is given up. @param what was made, such as `The page was made` */
export function storeForgets(what: string, address: string): PlatehandError {
  return new PlatehandError(
    'page-process',
    `${what} several times, and the store ${address} has nothing of it`,
    'Give watch and work the same store, and check that nobody clears it away.',
    { exitCode: exitCode.attention },
  );
}

/**
 * What a worker says that finds something missing of what it is to work with: whoever asked puts it there again.
 * @param lacked such as `this file`
 * @param asker the command that asked
 */
export function storeLacks(
  address: string,
  lacked: string,
  place: PlatehandError['place'] = {},
  asker: 'watch' | 'deliver' = 'watch',
): PlatehandError {
  return new PlatehandError(
    'input-missing',
    `The store ${address} does not have ${lacked}`,
    `Give ${asker} and work the same store.`,
    { place, exitCode: exitCode.attention },
  );
}

/** Refusals that say nothing about the page: disk, store or network are in trouble, here or everywhere. */
const passing = new Set(['store-unreachable', 'write-failed', 'lock-held', 'queue-unreachable']);

/** Whether a page that failed so may be made later, or by another worker. */
export function mayPass(thrown: unknown): boolean {
  return (thrown instanceof PlatehandError && passing.has(thrown.code)) || isDiskTrouble(thrown);
}
