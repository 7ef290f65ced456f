import { parseArgs } from 'node:util';
import { type AttackCase, endlessCase, namedCases } from './attack-cases.js';
import { AttackedIssue, type Faults, makeTemplate, type Template } from './attack-issue.js';
import { isKnown } from './attack-known.js';
import { seededRandom } from './watched-issue.js';

/**
 * Attacks small issues in every way that strangers' files, disks and machines have: damaged pages of every format, pictures made to
 * cost, hostile bags, archives and job files, odd things in incoming/, full disks, programs for events that misbehave, folders that
 * are moved, kills. After each: commands end in time, with a documented exit code, without a trace or control characters; good pages
 * stand byte for byte; what people dropped is as it was; nothing else was touched.
 *
 *   npm run attack -- --cases 1000 --minutes 60 --seed 1 [--only 'bomb|disk'] [--json]
 *
 * Each named attack comes once, the others until there are so many cases or the time is over. Few cases (`--cases 20`) are drawn
 * from all by the seed.
 */
const { values } = parseArgs({
  options: {
    cases: { type: 'string', default: '1000' },
    minutes: { type: 'string', default: '60' },
    seed: { type: 'string', default: '1' },
    only: { type: 'string', default: '' },
    json: { type: 'boolean', default: false },
  },
});
const wanted = Number(values.cases);
const endMs = performance.now() + Number(values.minutes) * 60_000;
const random = seededRandom(Number(values.seed));
const only = new RegExp(values.only);

const counts = { cases: 0, damaged: 0, lost: 0, hung: 0, wrong: 0, known: 0, skipped: 0, peakMB: 0 };
const reasons = new Set<string>();
const say = (text: string) => void (values.json || process.stderr.write(`${text}\n`));

async function attack(template: Template, { name, count, attack, skipped }: AttackCase): Promise<void> {
  if (skipped !== undefined) {
    counts.skipped += count;
    reasons.add(skipped);
    return;
  }
  const issue = await AttackedIssue.open(template);
  const startMs = performance.now();
  try {
    await attack(issue);
  } catch (thrown) {
    issue.faults.wrong.push(`the campaign itself: ${thrown instanceof Error ? thrown.stack : thrown}`);
  } finally {
    await issue.remove();
  }
  counts.cases += count;
  counts.peakMB = Math.max(counts.peakMB, issue.peakMB);
  note(name, issue.faults);
  say(`${name}: ${((performance.now() - startMs) / 1000).toFixed(1)} s, ${issue.peakMB} MB`);
}

function note(name: string, faults: Faults): void {
  for (const kind of ['damaged', 'lost', 'hung', 'wrong'] as const) {
    for (const what of faults[kind]) {
      const known = isKnown(name);
      counts[known ? 'known' : kind]++;
      if (!known) process.stderr.write(`${kind.toUpperCase()} ${name}: ${what}\n`);
    }
  }
}

function shuffled<Item>(items: readonly Item[]): Item[] {
  return items
    .map((item) => ({ item, at: random() }))
    .sort((a, b) => a.at - b.at)
    .map(({ item }) => item);
}

/** Of few cases, those without end are a third at most at a time. */
const roomForOne = () => Math.min(wanted - counts.cases, Math.ceil(wanted / 3));
const isOver = () => counts.cases >= wanted || performance.now() > endMs;

/** After so many attacks in a row that were not asked for, none comes that is. */
const mostPassedOver = 30;

async function attackAll(template: Template): Promise<void> {
  const named = shuffled(namedCases(random).filter(({ name }) => only.test(name)));
  let endless = 0;
  for (let [turn, passedOver] = [0, 0]; !isOver() && passedOver < mostPassedOver; turn++) {
    // One of those without end after two that have a name, so that few cases are of all kinds.
    const one = (turn % 3 < 2 ? named.pop() : undefined) ?? endlessCase(endless++, roomForOne(), random);
    passedOver = only.test(one.name) ? 0 : passedOver + 1;
    if (passedOver === 0) await attack(template, one);
  }
}

const template = await makeTemplate();
try {
  await attackAll(template);
} finally {
  await template.remove();
}
const { cases, damaged, lost, hung, wrong, known, skipped, peakMB } = counts;
process.stdout.write(
  values.json
    ? `${JSON.stringify({ cases, damaged, lost, hung, peakMB, wrong, known, skipped })}\n`
    : `${cases} cases: ${damaged} damaged, ${lost} lost, ${hung} hung, ${wrong} otherwise wrong, ${known} known; at most ${peakMB} MB; ` +
        `${skipped} skipped${[...reasons].map((reason) => ` (${reason})`).join('')}\n`,
);
process.exitCode = damaged + lost + hung + wrong === 0 ? 0 : 1;
