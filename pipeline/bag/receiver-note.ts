import { counted } from '../../config/figures.js';
import type { Job } from '../../config/job.js';
import { visible } from '../../config/visible-text.js';
import { type LeftOutPage, usedWords } from '../issue/report.js';
import { lookWords, type PageToLookAt } from '../issue/to-look-at.js';
import { type DeliveryPlan, deliveryWords } from './next-delivery.js';
import { type DeliveredPage, type PageChange, pagesWords } from './page-content.js';
import { splitNote } from './split-note.js';

/** What goes into a delivery's texts beside its pages. */
export interface DeliveryNews {
  readonly leftOut: readonly LeftOutPage[];
  /** Why it is partial; undefined for others. */
  readonly reason: string | undefined;
  readonly toLookAt: readonly PageToLookAt[];
  /** The due time, where it has passed. */
  readonly passedDue: string | undefined;
}

/** What the receiver of a bundle has to know before printing from it, as plain text in data/READ-ME.txt. */
export function receiverNote(job: Job, plan: DeliveryPlan, news: DeliveryNews): string {
  const title = job.number === undefined ? job.title : `${job.title}, number ${job.number}`;
  const lines = [
    `${job.issue}: ${title}`,
    `Delivery ${plan.number} of ${plan.date}: ${whatItIs(plan)}`,
    '',
    ...partialNote(plan, news),
    ...supplementNote(plan),
    ...replacedNote(plan),
    ...changesNote(plan),
    ...lookNote(news),
    ...whatIsWhere,
    ...splitNote(job, new Set(plan.pages.map(({ page }) => page))),
    ...cautions,
    '',
    'Every file of this bundle is listed with its SHA-256 in manifest-sha256.txt (BagIt 1.0, RFC 8493).',
    'To check it: sha256sum -c manifest-sha256.txt, or platehand verify.',
  ];
  return `${lines.map(visible).join('\n')}\n`;
}

function whatItIs({ kind, pages }: DeliveryPlan): string {
  const ids = pages.map(({ page }) => page);
  if (kind === 'supplement') return `a supplement, ${pagesWords(ids)}.`;
  const count = counted(pages.length, 'page');
  if (kind === 'whole') return `the whole issue, ${count}.`;
  return `a part of the issue, ${count}.`;
}

function partialNote({ kind }: DeliveryPlan, { leftOut, reason }: DeliveryNews): string[] {
  if (kind !== 'partial') return [];
  return [
    'THIS DELIVERY IS PARTIAL.',
    `Reason given: ${reason ?? 'none'}`,
    ...leftOut.map(({ page, state, why }) => `  page ${page} is not in it (${state}): ${why}`),
    '',
  ];
}

/** Which page comes from where: a supplement by itself is no issue. */
function supplementNote({ kind, name, builtOn, sources, absent }: DeliveryPlan): string[] {
  if (kind !== 'supplement') return [];
  const pagesOf = (delivery: string) =>
    pagesWords(sources.filter((one) => one.delivery === delivery).map(({ page }) => page));
  const zips = [...builtOn.map((one) => one.name), name].map((one) => `${one}.zip`);
  const missing = absent.length === 0 ? [] : [`  from none so far: ${pagesWords(absent)}`];
  return [
    'THIS DELIVERY IS A SUPPLEMENT. It makes an issue only together with the deliveries named here.',
    'Take the pages from:',
    ...builtOn.map((one) => `  ${deliveryWords(one)}: ${pagesOf(one.name)}`),
    `  this one (${name}): ${pagesOf(name)}`,
    ...missing,
    `To check them together: platehand verify --against ${zips.join(' ')}`,
    '',
  ];
}

function replacedNote({ replaces }: DeliveryPlan): string[] {
  if (replaces.length === 0) return [];
  const list = replaces.map((one) => `  ${deliveryWords(one)}`);
  return ['It replaces what follows; do not print from that any more:', ...list, ''];
}

function changesNote({ kind, since, changes }: DeliveryPlan): string[] {
  if (since === undefined) return [];
  const head = `Since ${deliveryWords(since)}`;
  const all = kind === 'supplement' ? '' : ', and no others';
  if (changes.length === 0) return [`${head} no page has changed.`, ''];
  return [`${head} these pages have changed${all}:`, ...changes.flatMap(changeLines), ''];
}

/** Digits of a checksum that are enough to tell two files apart by eye; delivery.json has them all. */
const shownDigits = 16;

function changeLines({ page, change, before, now }: PageChange): string[] {
  if (before === undefined) return [`  page ${page} is new: ${versionsOf(now)}`];
  if (now === undefined) return [`  page ${page} is no longer in it (it was in ${before.delivery})`];
  if (change === 'remarks')
    return [`  page ${page}: the same files; what was found on it, or accepted, is another`];
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

function lookNote({ toLookAt, passedDue }: DeliveryNews): string[] {
  const look = toLookAt.length === 0 ? [] : ['Pages that somebody should look at before they are printed:'];
  const late = passedDue === undefined ? [] : [`The issue was due ${passedDue}; that time has passed.`, ''];
  const pages = toLookAt.map((page) => `  ${lookWords(page)}`);
  return [...look, ...pages, ...(look.length === 0 ? [] : ['']), ...late];
}

const whatIsWhere = [
  'press/    one composite CMYK TIFF a page, its output profile embedded, black line included;',
  '          of a page in black ink alone a grey TIFF (0 is solid black), for the black plate as its numbers are;',
  '          and the line art alone as 1-bit TIFF (_line), black only, at its own resolution, to overprint.',
  'plates/   the process inks as single-channel TIFFs (0 is no ink): four, or black alone on a page in black',
  '          ink alone. The black plate (_black) holds the black of the colour work only: the line art belongs',
  '          on top of it, from the _line file in press/. Use the composite, or all plates together with the',
  '          line; never the plates alone. Further plates are extra inks, such as a varnish: measures.extraInks of',
  '          each page in delivery.json tells how they are called, and whether they overprint.',
  'proofs/   pictures of the pages as they are expected to print. NOT FOR PRINT.',
  '',
];

const cautions = [
  'Cautions',
  'A soft proof is not a contract proof: colour on a screen is an aim, not a promise.',
  "The printer's own specification decides. Where it differs from delivery.json, follow the printer.",
  'Each page names its press condition and ink limit in delivery.json; look before you print on another paper.',
];
