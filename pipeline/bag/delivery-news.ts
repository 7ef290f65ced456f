import { counted } from '../../config/figures.js';
import { type LeftOutPage, usedWords } from '../issue/report.js';
import { lookWords, type PageToLookAt } from '../issue/to-look-at.js';
import { type DeliveryPlan, deliveryWords } from './next-delivery.js';
import { type DeliveredPage, isSameInBoth, type PageChange, pagesWords } from './page-content.js';

/** What the receiver is told of the delivery itself: what it is, how it stands to those before it, what to look at. */

/** Lines of text below a heading; none of them needs another section to be understood. */
export interface FactSection {
  /** undefined where the lines speak for themselves. */
  readonly heading?: string;
  /** A line that begins with blanks belongs to the one before it. */
  readonly lines: readonly string[];
  /** Whether somebody who reads nothing else should read it. */
  readonly isUrgent?: boolean;
  /** Whether its lines are sentences that may be broken between words wherever they are shown; otherwise a text keeps them whole. */
  readonly isProse?: boolean;
}

/** What goes into a delivery's texts beside its pages. */
export interface DeliveryNews {
  readonly leftOut: readonly LeftOutPage[];
  /** Why it is partial; undefined for others. */
  readonly reason: string | undefined;
  readonly toLookAt: readonly PageToLookAt[];
  /** The due time, where it has passed. */
  readonly passedDue: string | undefined;
}

/** What is to be known before anything is printed; a section that has nothing to say is left out. */
export function newsSections(plan: DeliveryPlan, news: DeliveryNews): FactSection[] {
  return [...partialNote(plan, news), ...supplementNote(plan), ...replacedNote(plan), ...lookNote(news)];
}

/** What the delivery is, in a sentence. */
export function whatItIs({ kind, pages }: DeliveryPlan): string {
  const ids = pages.map(({ page }) => page);
  if (kind === 'supplement') return `a supplement, ${pagesWords(ids)}.`;
  const count = counted(pages.length, 'page');
  if (kind === 'whole') return `the whole issue, ${count}.`;
  return `a part of the issue, ${count}.`;
}

function partialNote({ kind }: DeliveryPlan, { leftOut, reason }: DeliveryNews): FactSection[] {
  if (kind !== 'partial') return [];
  const missing = leftOut.map(({ page, state, why }) => `  page ${page} is not in it (${state}): ${why}`);
  const lines = [`Reason given: ${reason ?? 'none'}`, ...missing];
  return [{ heading: 'THIS DELIVERY IS PARTIAL.', lines, isUrgent: true }];
}

/** Which page comes from where: a supplement by itself is no issue. */
function supplementNote({ kind, name, builtOn, sources, absent, otherFiles }: DeliveryPlan): FactSection[] {
  if (kind !== 'supplement') return [];
  const pagesOf = (delivery: string) =>
    pagesWords(sources.filter((one) => one.delivery === delivery).map(({ page }) => page));
  const zips = [...builtOn.map((one) => one.name), name].map((one) => `${one}.zip`);
  const missing = absent.length === 0 ? [] : [`  from none so far: ${pagesWords(absent)}`];
  const heading =
    'THIS DELIVERY IS A SUPPLEMENT. It makes an issue only together with the deliveries named here.';
  const lines = [
    'Take the pages from:',
    ...builtOn.map((one) => `  ${deliveryWords(one)}: ${pagesOf(one.name)}`),
    `  this one (${name}): ${pagesOf(name)}`,
    ...missing,
    ...otherFiles.map(
      ({ delivery, kinds }) =>
        `It holds other kinds of files than ${delivery}, which holds ${kinds.join(', ')}.`,
    ),
    `To check them together: platehand verify --against ${zips.join(' ')}`,
  ];
  return [{ heading, lines, isUrgent: true }];
}

function replacedNote({ replaces }: DeliveryPlan): FactSection[] {
  if (replaces.length === 0) return [];
  const lines = replaces.map((one) => `  ${deliveryWords(one)}`);
  return [{ heading: 'It replaces what follows; do not print from that any more:', lines, isUrgent: true }];
}

/** What differs from the deliveries before, page by page: it can be long, so it stands behind what everybody needs. */
export function changesNote({ kind, since, changes }: DeliveryPlan): FactSection[] {
  if (since === undefined) return [];
  const head = `Since ${deliveryWords(since)}`;
  const all = kind === 'supplement' ? '' : ', and no others';
  if (changes.length === 0) return [{ lines: [`${head} no page has changed.`] }];
  return [{ heading: `${head} these pages have changed${all}:`, lines: changes.flatMap(changeLines) }];
}

/** Of a page that goes out in other kinds of files than before, and is the same otherwise. */
export const otherKinds = 'the same working pages, in other kinds of files';

/** Digits of a checksum that are enough to tell two files apart by eye; delivery.json has them all. */
const shownDigits = 16;

function changeLines({ page, change, before, now }: PageChange): string[] {
  if (before === undefined) return [`  page ${page} is new: ${versionsOf(now)}`];
  if (now === undefined) return [`  page ${page} is no longer in it (it was in ${before.delivery})`];
  if (change === 'remarks')
    return [`  page ${page}: the same files; what was found on it, or accepted, is another`];
  if (isSameInBoth(before, now)) return [`  page ${page}: ${otherKinds}`];
  const old = new Map(before.files.map(({ path, sha256 }) => [path, sha256]));
  const changed = now.files.filter(({ path, sha256 }) => old.get(path) !== sha256);
  const gone = before.files.filter(({ path }) => !now.files.some((file) => file.path === path));
  return [
    `  page ${page} is another: ${versionsOf(now)}; before, in ${before.delivery}: ${versionsOf(before)}`,
    ...changed.map(({ path, sha256 }) => {
      const was = old.get(path);
      return `    ${path} ${was === undefined ? 'is new' : `was ${was.slice(0, shownDigits)}...`}, is ${sha256.slice(0, shownDigits)}...`;
    }),
    ...gone.map(({ path }) => `    ${path} is gone`),
  ];
}

/** `colour v3, line v2`; a file without a version by its name. */
export function versionsOf(page: Pick<DeliveredPage, 'workingPages'> | undefined): string {
  const words = usedWords(page?.workingPages ?? []);
  return words === '' ? 'no file known' : words;
}

function lookNote({ toLookAt, passedDue }: DeliveryNews): FactSection[] {
  const heading = 'Pages that somebody should look at before they are printed:';
  const lines = toLookAt.map((page) => `  ${lookWords(page)}`);
  return [
    ...(lines.length === 0 ? [] : [{ heading, lines, isUrgent: true }]),
    ...(passedDue === undefined
      ? []
      : [{ lines: [`The issue was due ${passedDue}; that time has passed.`] }]),
  ];
}
