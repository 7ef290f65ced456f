import type { Noticed } from '../model/findings.js';
import type { WorkingPicture } from '../model/working-page.js';

/** What two halves of one part must have in common to be one picture. */

/** The parts of a page that come as pictures. */
export type HalvedPart = 'colour' | 'line' | 'lettering';

const colourNames = { grey: 'grey', rgb: 'RGB', cmyk: 'CMYK' } as const;

/** Whether white paper shows, or nothing: the two are laid on colour in different ways. */
function isOpaque(picture: WorkingPicture): boolean {
  return picture.kind === 'flat' && !picture.raster.alpha;
}

/** How a half is made, in words. */
function kindOf(picture: WorkingPicture): string {
  return picture.kind === 'layered' ? 'layers' : `a flat ${colourNames[picture.raster.model]} picture`;
}

/** Findings about two halves of one part that differ in kind or profile; one that stops keeps them from being joined. */
export function noticeKinds(part: HalvedPart, left: WorkingPicture, right: WorkingPicture): Noticed[] {
  const both = `${kindOf(left)}, ${kindOf(right)}`;
  const mixesLayers = left.kind !== right.kind;
  const isCmyk = [left, right].some((half) => half.kind === 'flat' && half.raster.model === 'cmyk');
  if (mixesLayers && (part !== 'colour' || isCmyk)) return [differ(`The halves of the ${part}`, both)];
  if (!mixesLayers && kindOf(left) !== kindOf(right)) return [differ(`The halves of the ${part}`, both)];
  if (part !== 'colour' && isOpaque(left) !== isOpaque(right)) {
    return [differ(`The halves of the ${part}`, 'one on white paper, one transparent')];
  }
  const profiles = part === 'colour' ? noticeProfiles(left, right) : [];
  return mixesLayers ? [...profiles, blackOnOneHalf(both)] : profiles;
}

function noticeProfiles({ profile: one }: WorkingPicture, { profile: other }: WorkingPicture): Noticed[] {
  if (one !== undefined && other !== undefined) {
    const isSame = Buffer.compare(one, other) === 0;
    return isSame ? [] : [differ('The colour profiles of the halves', 'two different ones')];
  }
  return one === other ? [] : [untaggedHalf(one === undefined ? 'left' : 'right')];
}

/** Halves that are no one picture. */
export function differ(what: string, measured: string): Noticed {
  return {
    code: 'spread-halves-differ',
    severity: 'stop',
    message: `${what} differ, so they cannot be joined into one picture`,
    measured,
    limit: 'both alike',
    remedy:
      'Export both halves in one way: same resolution, colour space, profile, and both in layers or both flat.',
  };
}

/** Black that is a layer of its own on one half, and painted into the colour on the other, does not print alike. */
function blackOnOneHalf(measured: string): Noticed {
  return {
    code: 'spread-halves-differ',
    severity: 'warn',
    message:
      'One half came in layers and the other flat: black of the flat half prints in colour where the layers have line',
    measured,
    limit: 'both alike',
    remedy: 'Look at black across the fold on the proof; better export both halves in layers, or both flat.',
  };
}

/** As with layers of which some carry no profile. */
function untaggedHalf(side: string): Noticed {
  return {
    code: 'spread-halves-differ',
    severity: 'warn',
    message: `The ${side} half carries no colour profile; that of the other half is used for both`,
    measured: `${side} none`,
    limit: 'both alike',
    remedy:
      'Compare the colours at both sides of the fold on the proof; better export both halves with the same profile.',
  };
}
