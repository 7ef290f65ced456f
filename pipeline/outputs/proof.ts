import { isBlackOnly } from '../../config/print-spec.js';
import { madeOf, standingNotes } from '../model/page-notes.js';
import { numberedPlaces } from '../model/places.js';
import type { ProofSlug } from '../sheets/proof-slug.js';
import { cleanedLine } from './cleaned-line.js';
import { differences } from './differences.js';
import { shownInks } from './extra-plates.js';
import { outOfGamut } from './gamut.js';
import { platesMoved } from './plates-moved.js';
import { type MadeFile, type OutputContext, type PageProduct, picture } from './product.js';
import { findingSettings } from './settings.js';

/**
 * A picture of the page as it will print, with its slug line, and where that is not what was painted a picture of the differences, and
 * where plates out of register would show, or colours are out of gamut, a picture of that, and of specks
 * that were cleaned off: for people, never for print.
 */
export const proof: PageProduct = {
  name: 'proof',
  roles: ['proof', 'flats-report', 'differences', 'register', 'gamut', 'cleaned'],
  suffixOf: (role) => `_${role}.png`,
  folder: 'proofs',
  // Pictures of differences, plates out of register, the gamut and what was cleaned off are for who made the page.
  deliveredWith: (role) => (role === 'proof' ? ['proofs'] : []),
  comesAlong: false,
  forStoppedPage: true,
  phase: 'proof',
  dependsOn: [
    ...findingSettings,
    'baseName',
    'proofPpi',
    'proofPaperWhite',
    'proofBoxes',
    'notes',
    'safe',
    'issue',
    'scene',
  ],
  make: proofFile,
};

async function proofFile(context: OutputContext): Promise<MadeFile[]> {
  const { drawProof, trimOnProof } = await import('../proof.js');
  const { request, softProof } = context;
  const { spec, numbers } = request.page;
  const ppi = spec.proofPpi;
  const options = {
    ...{ spec, ppi, slug: slugOf(context), units: request.units },
    isSpread: numbers.length > 1,
    extraInks: shownInks(context),
    ...(spec.proofBoxes ? { boxes: numberedPlaces(context.findings) } : {}),
  };
  const page = await softProof();
  const drawn = await drawProof(page, options, context.arena);
  const file = { ...picture('proof', drawn, ppi), trim: trimOnProof(page, options) };
  const beside = [
    await differences(context),
    await platesMoved(context),
    await outOfGamut(context),
    await cleanedLine(context),
  ];
  return [file, ...beside.flat()];
}

function slugOf({ request, press, separator, findings, statedDay }: OutputContext): ProofSlug {
  const { page, issue, title, scene, files, awaits } = request;
  const notes = standingNotes(request.notes ?? [], madeOf(files));
  const { spec } = page;
  const paper = spec.proofPaperWhite ? 'paper white shown' : 'paper white not shown';
  return {
    issue,
    title,
    page: page.id,
    isSpread: page.numbers.length > 1,
    scene,
    files,
    awaits,
    date: statedDay,
    condition: `${press.id}, ${isBlackOnly(spec) ? 'black ink alone' : `ink limit ${separator.inkLimitPercent} %`}`,
    findings,
    notes,
    softProofNote: `${spec.intent} colorimetric, ${paper}`.replace(
      /^(perceptual|saturation) colorimetric/,
      '$1',
    ),
  };
}
