import { createHash } from 'node:crypto';
import { mkdir, readdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { dropOldSights, seeProofs } from '../../../pipeline/issue/seen-as.js';
import { notePlaced } from '../../../pipeline/store/placed-list.js';
import { openSmallIssue, type SmallIssue } from '../../helpers/small-issue.js';

let issue: SmallIssue;
beforeEach(async () => {
  issue = await openSmallIssue();
  await mkdir(join(issue.folder, '.platehand'), { recursive: true });
});
afterEach(() => issue.remove());

type Colour = readonly [number, number, number];
const red: Colour = [255, 0, 0];
const green: Colour = [0, 255, 0];

async function picture([r, g, b]: Colour): Promise<Buffer> {
  const plain = { width: 20, height: 30, channels: 3 as const, background: { r, g, b } };
  return sharp({ create: plain }).withDensity(150).png().toBuffer();
}

/** Puts a proof into place as a run does. */
async function placeProof(page: string, colour: Colour): Promise<void> {
  const path = `proofs/QRY02_${page}_proof.png`;
  const png = await picture(colour);
  await writeFile(join(issue.folder, path), png);
  const { size, mtimeMs } = await stat(join(issue.folder, path));
  const sha256 = createHash('sha256').update(png).digest('hex');
  await notePlaced(issue.folder, page, { [path]: { sha256, bytes: size, mtimeMs } });
}

const seenFolder = () => join(issue.folder, 'proofs', 'seen-as');
const seen = async () => (await readdir(seenFolder())).sort();
const colourOf = async (name: string) => {
  const { data } = await sharp(join(seenFolder(), name)).raw().toBuffer({ resolveWithObject: true });
  return [...data.subarray(0, 3)];
};

describe('proofs as other eyes see them', () => {
  test('stand in a folder of their own, in reading order, with the contact sheet', async () => {
    await placeProof('2', green);
    await placeProof('1', red);
    await writeFile(join(issue.folder, 'proofs', 'contact-sheet.png'), await picture(red));
    const shown = await seeProofs(issue.job, ['deuteranopia', 'grey']);
    expect(shown.map(({ eyes }) => eyes)).toEqual(['grey', 'deuteranopia']);
    expect(shown[0].pages).toEqual([
      { page: '1', path: 'proofs/seen-as/QRY02_1_proof_grey.png' },
      { page: '2', path: 'proofs/seen-as/QRY02_2_proof_grey.png' },
    ]);
    expect(shown[1].contactSheet).toBe('proofs/seen-as/contact-sheet_deuteranopia.png');
    expect(await seen()).toEqual([
      'QRY02_1_proof_deuteranopia.png',
      'QRY02_1_proof_grey.png',
      'QRY02_2_proof_deuteranopia.png',
      'QRY02_2_proof_grey.png',
      'contact-sheet_deuteranopia.png',
      'contact-sheet_grey.png',
    ]);
    // Machado, Oliveira and Fernandes 2009: see test/reference/colour-vision.test.ts.
    expect(await colourOf('QRY02_1_proof_deuteranopia.png')).toEqual([163, 144, 0]);
    const { density, width, height } = await sharp(
      await readFile(join(seenFolder(), 'QRY02_2_proof_grey.png')),
    ).metadata();
    expect([density, width, height]).toEqual([150, 20, 30]);
  });

  test('are written anew only where the proof has changed, and where somebody has written to them', async () => {
    await placeProof('1', red);
    await placeProof('2', red);
    await seeProofs(issue.job, ['grey']);
    const times = async () => Promise.all((await seen()).map((name) => stat(join(seenFolder(), name))));
    const before = await times();
    await placeProof('2', green);
    await seeProofs(issue.job, ['grey']);
    const [first, second] = await times();
    expect(first.ino).toBe(before[0].ino);
    expect(second.ino).not.toBe(before[1].ino);
    expect(await colourOf('QRY02_2_proof_grey.png')).toEqual([220, 220, 220]);
    await writeFile(join(seenFolder(), 'QRY02_1_proof_grey.png'), 'scribble');
    await seeProofs(issue.job, ['grey']);
    expect(await colourOf('QRY02_1_proof_grey.png')).toEqual([127, 127, 127]);
  });

  test('go with their page, and with a proof that is another now, of whatever eyes', async () => {
    await placeProof('1', red);
    await placeProof('2', red);
    await placeProof('3', red);
    await seeProofs(issue.job, ['grey', 'tritanopia']);
    await rm(join(issue.folder, 'proofs', 'QRY02_2_proof.png'));
    await notePlaced(issue.folder, '2', undefined);
    await placeProof('3', green);
    await dropOldSights(issue.folder);
    expect(await seen()).toEqual(['QRY02_1_proof_grey.png', 'QRY02_1_proof_tritanopia.png']);
    await seeProofs(issue.job, ['grey']);
    expect(await seen()).toEqual([
      'QRY02_1_proof_grey.png',
      'QRY02_1_proof_tritanopia.png',
      'QRY02_3_proof_grey.png',
    ]);
  });

  test('are shown of some pages where somebody asks for those', async () => {
    await placeProof('1', red);
    await placeProof('2', red);
    const [grey] = await seeProofs(issue.job, ['grey'], { pages: ['2'], jobs: 1 });
    expect(grey.pages.map(({ page }) => page)).toEqual(['2']);
    expect(grey.contactSheet).toBeUndefined();
    expect(await seen()).toEqual(['QRY02_2_proof_grey.png']);
  });

  test('of a job that never asked for any there is no trace', async () => {
    await placeProof('1', red);
    await dropOldSights(issue.folder);
    expect(await readdir(join(issue.folder, '.platehand'))).not.toContain('seen-as.json');
    expect(await readdir(join(issue.folder, 'proofs'))).toEqual(['QRY02_1_proof.png']);
  });
});
