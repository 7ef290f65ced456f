import { PlatehandError } from '../../config/errors.js';
import type { Press } from '../../config/press.js';
import type { PdfForm } from '../../config/print-spec.js';
import { pdfDictionary, pdfText, ref } from './notation.js';

/** What a PDF says of the printing condition that it is made for: ISO 32000-1 section 14.11.5. */

/** The registry of characterization data: registry.color.org; PDF/X names it by this address. */
const registry = 'http://www.color.org';

/** What an output intent says; the profile stands beside it in the file. */
export interface OutputIntent {
  /** The registered name of the data set, or a name made from the profile where there is none. */
  readonly identifier: string;
  /** Whether the identifier stands in the registry. */
  readonly isRegistered: boolean;
  /** The condition as people call it. */
  readonly condition: string;
  readonly profile: Uint8Array;
  /** SHA-256 of the profile, in hex. */
  readonly profileSha256: string;
}

/** The output intent of a press condition. */
export function outputIntentOf({ id, title, shipped, profile, sha256 }: Press): OutputIntent {
  const isRegistered = shipped !== undefined;
  const identifier = shipped?.registeredName ?? `${title} (${id})`;
  return { identifier, isRegistered, condition: title, profile, profileSha256: sha256 };
}

/** The dictionary of an output intent. @param profile id of the stream that holds its profile */
export function outputIntentDictionary(intent: OutputIntent, profile: number): string {
  const { identifier, isRegistered, condition } = intent;
  return pdfDictionary({
    Type: '/OutputIntent',
    S: '/GTS_PDFX',
    OutputCondition: pdfText(condition),
    OutputConditionIdentifier: pdfText(identifier),
    RegistryName: isRegistered ? pdfText(registry) : undefined,
    // Required where nobody can look the identifier up; a help to people where they can.
    Info: pdfText(condition),
    DestOutputProfile: ref(profile),
  });
}

/** Where an ICC profile says its major version: ICC.1, section 7.2.4. */
const versionByte = 8;

/**
 * Makes sure that a form of PDF/X may hold a press condition's profile: PDF/X-1a is older than version 4 of profiles.
 * @throws PlatehandError `profile-version`
 */
export function checkProfileVersion(
  { profile, title }: Pick<Press, 'profile' | 'title'>,
  form: PdfForm,
): void {
  const version = profile[versionByte];
  if (form !== 'x-1a' || version === 2) return;
  const what = `The profile "${title}" is of version ${version}, and PDF/X-1a takes profiles of version 2 only`;
  const remedy = 'Set pdf: x-4 below print in job.yaml, or ask the printer for the profile in version 2.';
  throw new PlatehandError('profile-version', what, remedy);
}
