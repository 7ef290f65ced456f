import { counted, sentence } from '../../config/figures.js';
import type { DeliveryFacts } from '../../pipeline/bag/delivery-facts.js';
import { otherKinds, versionsOf } from '../../pipeline/bag/delivery-news.js';
import { deliveryWords } from '../../pipeline/bag/next-delivery.js';
import { isSameInBoth, type PageChange, pagesWords } from '../../pipeline/bag/page-content.js';
import type { Delivery, DeliveryShelf, SetReport, VerifyReport } from '../../pipeline/index.js';
import { lookWords } from '../../pipeline/issue/to-look-at.js';
import type { Paint } from './report-text.js';

/** What is said of deliveries: what went out, what lies there, and whether what was received is whole. */

/** What went out, what it replaces, and what to know about it. */
export function deliveryText(delivery: Delivery, paint: Paint): string {
  const { isNew, path, number, date, bundle, toLookAt, passedDue } = delivery;
  const head = isNew
    ? [
        `${paint('green', 'Delivered')}: ${path}${whatItIs(delivery)}`,
        `  Delivery ${number} of ${date}`,
        ...newsLines(delivery),
      ]
    : [
        `${paint('green', 'Nothing new to deliver')}: ${path}, delivery ${number} of ${date}, holds the same pages`,
      ];
  const look = toLookAt.length === 0 ? [] : [paint('yellow', '  Pages that ask for a look:')];
  return [
    ...head,
    `  ${bundle.files.length} files, ${(bundle.bytes / 1e6).toFixed(1)} MB, read back and verified`,
    `  SHA-256 ${bundle.sha256}`,
    ...look,
    ...toLookAt.map((page) => `    ${lookWords(page)}`),
    ...(passedDue === undefined
      ? []
      : [paint('red', `  The issue was due ${passedDue}; that time has passed.`)]),
    ...alsoChangedLines(delivery),
    "  A soft proof is not a contract proof; the printer's own specification decides.",
  ].join('\n');
}

function whatItIs({ kind, leftOut, builtOn, pages }: Delivery): string {
  if (kind === 'partial') return `, without ${leftOut.map(({ page }) => page).join(', ')}`;
  if (kind === 'whole') return '';
  return `, ${pagesWords(pages)} as a supplement to ${builtOn.map(({ name }) => name).join(', ')}`;
}

function newsLines({ since, changes, replaces }: Delivery): string[] {
  if (since === undefined) return [];
  const none = changes.length === 0 ? [`  No page has changed since ${deliveryWords(since)}`] : [];
  const head = changes.length === 0 ? [] : [`  Since ${deliveryWords(since)}:`];
  const out = replaces.length === 0 ? [] : [`  It replaces ${replaces.map(deliveryWords).join(', ')}`];
  return [...out, ...none, ...head, ...changes.map((change) => `    ${changeWords(change)}`)];
}

function changeWords({ page, change, before, now }: PageChange): string {
  if (change === 'new') return `page ${page} is new (${versionsOf(now)})`;
  if (change === 'gone') return `page ${page} is no longer in it`;
  if (change === 'remarks')
    return `page ${page}: the same files; what was found on it, or accepted, is another`;
  if (before !== undefined && now !== undefined && isSameInBoth(before, now))
    return `page ${page}: ${otherKinds}`;
  return `page ${page} is another (${versionsOf(now)}; before ${versionsOf(before)})`;
}

function alsoChangedLines({ alsoChanged }: Delivery): string[] {
  if (alsoChanged.length === 0) return [];
  return [`  Not in it, though new or changed since the deliveries before: ${pagesWords(alsoChanged)}`];
}

/** The deliveries so far, a line each; nothing where there are none. */
export function shelfText({ deliveries, odd }: DeliveryShelf): string[] {
  const replacedBy = new Map(
    deliveries.flatMap(({ name, replaces }) => replaces.map((other) => [other.name, name] as const)),
  );
  const lines = deliveries.map((one) => {
    const { name, kind, pages, file, builtOn } = one;
    const of =
      kind === 'supplement' ? `, supplement to ${builtOn.map((base) => base.name).join(', ')}` : `, ${kind}`;
    const by = replacedBy.get(name);
    const after = by === undefined ? '' : `; replaced by ${by}`;
    return `  ${sentence(deliveryWords(one))}${of}, ${counted(pages.length, 'page')}${after}${file === undefined ? '; no longer in delivery/' : ''}`;
  });
  const others = odd.map(({ file, why }) => `  ${file} counts for nothing: ${why}`);
  const all = [...lines, ...others];
  return all.length === 0 ? [] : ['', 'Deliveries', ...all];
}

/** The same for programs. */
export function shelfJson({ deliveries, odd }: DeliveryShelf): object {
  const named = (others: readonly { readonly name: string }[]) => others.map(({ name }) => name);
  const short = deliveries.map(({ number, name, kind, date, file, pages, replaces, builtOn }) => ({
    ...{ number, name, kind, date, file, pages: pages.map(({ page }) => page) },
    ...{ replaces: named(replaces), builtOn: named(builtOn) },
  }));
  return { deliveries: short, oddDeliveries: odd };
}

/** What a delivery is that was verified by itself. */
export function deliveryNote(facts: DeliveryFacts | undefined): string[] {
  if (facts === undefined) return [];
  const { kind, builtOn, replaces } = facts;
  const lines = [
    `  It is ${deliveryWords(facts)}, ${{ whole: 'the whole issue', partial: 'a part', supplement: 'a supplement' }[kind]} of ${facts.issue}.`,
  ];
  if (replaces.length > 0) lines.push(`  It replaces ${replaces.map(deliveryWords).join(', ')}.`);
  if (kind === 'supplement') {
    const all = [...builtOn.map(({ name }) => name), facts.name].map((name) => `${name}.zip`);
    lines.push(`  It makes an issue only with others: platehand verify --against ${all.join(' ')}`);
  }
  return lines;
}

/** Whether a bundle is whole, and what is wrong with it. */
export function verifyText(report: VerifyReport, paint: Paint): string {
  const head = report.ok
    ? `${paint('green', 'Whole')}: ${report.bagName}, ${report.files} files, ${report.bytes} bytes, every checksum matches`
    : `${paint('red', 'Not whole')}: ${report.bagName}, ${counted(report.problemCount, 'problem')}`;
  return [head, ...noteLines(report, paint)].join('\n');
}

/** Whether several deliveries make an issue, and which page is to be taken from which. */
export function setText(report: SetReport, paint: Paint): string {
  const { ok, issue, title, members } = report;
  const about = issue === undefined ? '' : ` ${issue}: ${title}`;
  const pages = members.reduce((sum, one) => sum + one.pages.length, 0);
  const count = members.filter((one) => one.pages.length > 0).length;
  const head = ok
    ? `${paint('green', 'A whole issue')}:${about}, ${counted(pages, 'page')} from ${counted(count, 'delivery', 'deliveries')}, every checksum matches`
    : `${paint('red', 'Not a whole issue')}:${about}`;
  const lines = members.map(({ path, delivery, pages }) => {
    const use = pages.length === 0 ? 'nothing of it' : pagesWords(pages);
    const day = delivery?.date == null ? '' : ` of ${delivery.date}`;
    const what = delivery === undefined ? '' : `, delivery ${delivery.number ?? 'without a number'}${day}`;
    return `  ${path}${what}: ${use}`;
  });
  return [head, ...lines, ...noteLines(report, paint)].join('\n');
}

function noteLines({ problems, warnings }: Pick<SetReport, 'problems' | 'warnings'>, paint: Paint): string[] {
  const where = (path: string | undefined) => (path === undefined ? '' : `${path}: `);
  return [
    ...problems.map(
      ({ code, path, what, remedy }) => `  ${paint('red', code)}: ${where(path)}${what}. ${remedy}`,
    ),
    ...warnings.map(({ code, path, what }) => `  ${paint('yellow', code)}: ${where(path)}${what}`),
  ];
}
