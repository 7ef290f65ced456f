import { severities, worstOf } from '../model/findings.js';
import type { PageRequest } from '../model/page-request.js';
import type { ProofSlug } from '../sheets/proof-slug.js';
import { differences } from './differences.js';
import { type MadeFile, type OutputContext, type PageProduct, picture } from './product.js';
import { findingSettings } from './settings.js';

/**
 * A picture of the page as it will print, with its slug line, and where that is not what was painted a picture of the differences:
 * for people, never for print.
 */
export const proof: PageProduct = {
  name: 'proof',
  roles: ['proof', 'differences'],
  suffixOf: (role) => `_${role}.png`,
  folder: 'proofs',
  inBundle: true,
  keptBack: ['differences'],
  forStoppedPage: true,
  phase: 'proof',
  dependsOn: [...findingSettings, 'baseName', 'proofPpi', 'proofPaperWhite', 'safe', 'issue', 'date'],
  make: proofFile,
};

async function proofFile(context: OutputContext): Promise<MadeFile[]> {
  const { drawProof } = await import('../proof.js');
  const { request, softProof } = context;
  const { spec, numbers } = request.page;
  const ppi = spec.proofPpi;
  const options = {
    ...{ spec, ppi, slug: slugOf(context), units: request.units },
    isSpread: numbers.length > 1,
  };
  const drawn = await drawProof(await softProof(), options, context.arena);
  return [picture('proof', drawn, ppi), ...(await differences(context))];
}

function slugOf({ request, press, separator, findings }: OutputContext): ProofSlug {
  const { spec } = request.page;
  const worst = worstOf(findings);
  const gravest = [...findings].sort(
    (a, b) => severities.indexOf(b.severity) - severities.indexOf(a.severity),
  )[0];
  const paper = spec.proofPaperWhite ? 'paper white shown' : 'paper white not shown';
  return {
    issue: request.issue,
    title: request.title,
    page: request.page.id,
    version: versionsOf(request),
    date: request.date,
    condition: `${press.id}, ink limit ${separator.inkLimitPercent} %`,
    worst,
    worstMessage: gravest?.message,
    softProofNote: `${spec.intent} colorimetric, ${paper}`.replace(
      /^(perceptual|saturation) colorimetric/,
      '$1',
    ),
  };
}

/** The versions of the files: one word for all, or one for each part. */
function versionsOf({ files }: PageRequest): string {
  const word = (version: number | undefined) => (version === undefined ? 'no version' : `v${version}`);
  const words = new Set(files.map(({ version }) => word(version)));
  if (words.size === 1) return [...words][0];
  const called = ({ part, half }: PageRequest['files'][number]) =>
    half === undefined ? part : `p${half} ${part}`;
  return files.map((file) => `${called(file)} ${word(file.version)}`).join(', ');
}
