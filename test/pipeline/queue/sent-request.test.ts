import { copyFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, describe, expect, test } from 'vitest';
import { profilesFolder } from '../../../config/press/press-conditions.js';
import { openPress } from '../../../config/press.js';
import { planIssue } from '../../../pipeline/issue/plan.js';
import type { PageRequest } from '../../../pipeline/model/page-request.js';
import { productNames } from '../../../pipeline/model/page-result.js';
import { pageKeys } from '../../../pipeline/page/page-key.js';
import { checkedRequest } from '../../../pipeline/queue/page-request-form.js';
import {
  keysMatch,
  requestHere,
  type SentRequest,
  sentRequest,
} from '../../../pipeline/queue/sent-request.js';
import { dropAll, openSmallIssue, type SmallIssue, smallHead, smallJob } from '../../helpers/small-issue.js';

/** Every setting, kind of page and kind of file that a job may bring, in inches. */
const fullJob = `
issue: QRY02
title: The Quarry Bells, “noon” & после
number: 2
units: in
print:
  trim: [6.625, 10.25]
  bleed: 0.125
  safe: 0.25
  colourPpi: 100
  linePpi: 200
  press: cgats-tr006
  inkLimit: 280.5
  inkLimitConfirmed: true
  intent: perceptual
  proofPaperWhite: true
  proofBoxes: false
  untagged: srgb
  allowEnlarging: true
  spreads: both
  foldBleed: 0
  pdf: x-1a
  marks: true
  blackPlate: withLine
  plateShiftMm: 0.15
  line: { threshold: 40.5, lift: false }
  support: { ink: [50, 30, 30], choke: 0.02, minWidth: 0.1 }
  fidelity: { warn: 2.5, stop: 9, edge: 7 }
  checks: { thinLineMm: 0.1, outOfGamutPercent: 0 }
  inkSaving: { enabled: true, most: 0.8 }
  naming: "{issue} {number}_{page}_{kind}"
kinds:
  cover: { press: printer.icc, intent: relative }
  story: { inks: [black] }
extraInks:
  - { id: varnish, name: Gloss Varnish, shownAs: [0, 0, 0, 10], bits: 1, overprints: false, inTotal: false }
  - { id: gold, shownAs: [0, 20, 60, 20] }
parts: { line: [tusche] }
scenes:
  - { id: quarry, title: The quarry at noon }
held:
  - { page: 9, reason: script rewrite }
pages:
  - { page: cover, needs: [colour, varnish] }
  - { page: 1, scene: quarry, clean: specks, register: { line: auto }, accept: { colour-ppi-low: agreed on 2 Dec } }
  - spread: 2-3
  - spread: 4-5
  - { pages: 6-9, kind: story }
`;

const fullFiles = [
  'cover_colour_v3.tif',
  'cover_varnish.tif',
  'cover_gold.tif',
  '1_colour.tif',
  '1_tusche_v2.tif',
  '2-3_colour.tif',
  '2-3_line.tif',
  '4_colour.tif',
  '4_line.tif',
  '5_colour.tif',
  '5_line.tif',
  'p6 final v12.tif',
  '7_flats.png',
  '8_line.tif',
  '9_colour.tif',
  '9_line.tif',
];

const notes: PageRequest['notes'] = [
  {
    name: 'r1-1-mara-2',
    number: 2,
    round: 1,
    editor: 'mara',
    text: 'Less red.\nAnd more blue.',
    place: { xMm: -1.5, yMm: 40.25 },
    cell: 'C4',
    madeOf: ['a'.repeat(64)],
  },
  { name: 'sky', number: 1, round: 1, text: '', madeOf: [] },
];

/** The content of the profile, as it is told beside a request whose press is a file. */
const facts = { sha256: 'c'.repeat(64), bytes: 4000 };

const overTheWire = (request: SentRequest): SentRequest =>
  checkedRequest(JSON.parse(JSON.stringify(request)));

async function plannedIn({ job }: SmallIssue): Promise<readonly PageRequest[]> {
  const { runs } = await planIssue(job, { pages: undefined, products: productNames });
  return runs.flatMap(({ request }) => (request?.key === undefined ? [] : [request as PageRequest]));
}

describe('page requests between machines', () => {
  let issue: SmallIssue;
  afterEach(() => issue.remove());

  test('of a small issue come as they went, with keys that are found again', async () => {
    issue = await openSmallIssue(smallJob);
    await dropAll(issue);
    const requests = await plannedIn(issue);
    expect(requests.map(({ page }) => page.id)).toEqual(['cover', '1', '2', '3']);
    for (const request of requests) {
      const sent = sentRequest(request);
      expect(overTheWire(sent)).toEqual(sent);
      expect(keysMatch(overTheWire(sent), await openPress(request.page.spec.press))).toBe(true);
    }
  });

  test('of spreads, halves, extra inks, pages that wait and all settings do so too, with notes and a profile', async () => {
    issue = await openSmallIssue(fullJob);
    const profile = join(issue.folder, 'printer.icc');
    await copyFile(join(profilesFolder(), 'fogra39l.icc'), profile);
    for (const name of fullFiles) await issue.drop(name, Buffer.from(`content of ${name}`));
    const planned = await plannedIn(issue);
    const byId = new Map(planned.map((request) => [request.page.id, request]));
    expect([...byId.keys()]).toEqual(['cover', '1', '2-3', '4-5', '6', '7', '8']);
    expect(byId.get('cover')?.extraInks?.map(({ id }) => id)).toEqual(['varnish', 'gold']);
    expect(byId.get('4-5')?.files.map(({ half }) => half)).toEqual([4, 5, 4, 5]);
    expect(byId.get('2-3')?.halfNames).toHaveLength(2);
    expect(byId.get('7')?.awaits).toBeDefined();
    for (const plain of planned) {
      const press = await openPress(plain.page.spec.press);
      const noted = { ...plain, notes };
      const request = { ...noted, ...pageKeys(noted, press) };
      const isOwn = request.page.spec.press.kind === 'file';
      const sent = sentRequest(request, isOwn ? { sha256: press.sha256, bytes: 1 } : undefined);
      expect(overTheWire(sent)).toEqual(sent);
      expect(keysMatch(overTheWire(sent), press)).toBe(true);
    }
  });

  test('name a profile by its content and its name, and go to work with the paths of the machine they come to', async () => {
    issue = await openSmallIssue(`${smallHead}pages:\n  - page: 1\n`);
    await issue.drop('1.tif', Buffer.from('picture'));
    const [planned] = await plannedIn(issue);
    const press = { kind: 'file', path: '/jobs/Drückerei 1.icc' } as const;
    const request = { ...planned, page: { ...planned.page, spec: { ...planned.page.spec, press } } };
    const sent = overTheWire(sentRequest(request, facts));
    expect(sent.page.spec.press).toEqual({ kind: 'file', ...facts, name: 'Drückerei 1.icc' });
    const local = { path: '/cache/aa', seen: { bytes: 7, mtimeMs: 1, ctimeMs: 1, inode: 1 } };
    const here = requestHere(sent, { files: [local], pressPath: '/cache/p.icc', outFolder: '/cache/out' });
    expect(here).toMatchObject({ outFolder: '/cache/out', files: [{ name: '1.tif', local }] });
    expect(here.page.spec.press).toEqual({ kind: 'file', path: '/cache/p.icc' });
    expect(() => sentRequest(request)).toThrow('which was not given');
  });
});
