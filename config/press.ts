import { createHash } from 'node:crypto';
import { basename, join } from 'node:path';
import { Worker } from 'node:worker_threads';
import { messageOf, PlatehandError } from './errors.js';
import { programPath } from './package-root.js';
import { readIccProfile } from './press/icc-profile.js';
import {
  type CatalogueEntry,
  pressCatalogue,
  profilesFolder,
  sheetFedShift,
  shippedAccuracies,
} from './press/press-conditions.js';
import type { TrialOutcome } from './press/profile-trial.js';
import type { PressChoice } from './print-spec.js';
import { readRegular, TooManyBytesError } from './regular-file.js';

/** A press condition, ready to separate for. */
export interface Press {
  /** The shipped name, or `icc-` and the start of the profile's SHA-256. */
  readonly id: string;
  /** As people call it. */
  readonly title: string;
  /** Its catalogue entry if it ships with platehand; undefined for a profile of the user's. */
  readonly shipped: CatalogueEntry | undefined;
  /** The ICC profile, byte for byte as it goes into the output files. */
  readonly profile: Uint8Array;
  /** SHA-256 of the profile, in hex. */
  readonly sha256: string;
  /** Suggested limit of C+M+Y+K in percent, 0 to 400; job.yaml's own limit takes precedence. */
  readonly inkLimitPercent: number;
  /** Where the suggestion comes from, and how sure it is; findings quote it. */
  readonly inkLimitSource: string;
  /** How far two plates may lie beside each other, in millimetres; job.yaml's own figure takes precedence. */
  readonly plateShiftMm: number;
  /** Where that comes from, and how sure it is; findings quote it. */
  readonly plateShiftSource: string;
}

/** Longest that a profile which people brought may keep the colour engine busy; sound ones take under half a second. */
const trialTimeLimitMs = 5000;

/** What is taken for a profile that brings no suggestion: the lower of the two limits usual for coated paper. */
const inkLimitWithoutSuggestionPercent = 300;

/** Far more than any press profile has (the largest in common use have 8 MB). */
export const mostProfileBytes = 64 * 1024 * 1024;

/**
 * Opens a press condition. A profile of the user's is validated and tried in a thread of its own, so that a damaged
 * one is refused within `timeLimitMs` and never hangs.
 * @param choice of a print spec: a shipped name or the path of a profile
 * @param timeLimitMs how long the trial of a user's profile may take, in milliseconds; default 5000
 * @throws PlatehandError `wrong-use` for an unknown name, `profile-invalid`, `profile-timeout`
 */
export async function openPress(choice: PressChoice, timeLimitMs = trialTimeLimitMs): Promise<Press> {
  return choice.kind === 'shipped' ? openShipped(choice.name) : openFile(choice.path, timeLimitMs);
}

async function openShipped(name: string): Promise<Press> {
  const entry = pressCatalogue().find((candidate) => candidate.name === name);
  if (entry === undefined) {
    const known = pressCatalogue().map((candidate) => candidate.name);
    throw new PlatehandError(
      'wrong-use',
      `There is no press condition "${name}"`,
      `Choose one of ${known.join(', ')}, or give the path of the printer's ICC profile.`,
    );
  }
  const file = join(profilesFolder(), entry.profileFile);
  const profile = await readBytes(file);
  const sha256 = hash(profile);
  if (sha256 !== shippedAccuracies()[name]?.sha256) {
    throw new PlatehandError(
      'profile-invalid',
      'This profile is not as it was shipped',
      'Install platehand again.',
      {
        place: { file },
      },
    );
  }
  const { title, inkLimitPercent, inkLimitSource, plateShiftMm, plateShiftSource } = entry;
  const suggested = { inkLimitPercent, inkLimitSource, plateShiftMm, plateShiftSource };
  return { id: name, title, shipped: entry, profile, sha256, ...suggested };
}

/** SHA-256 of the profiles that were tried in this process and found sound: an issue opens the same one for each page. */
const soundProfiles = new Set<string>();

async function openFile(path: string, timeLimitMs: number): Promise<Press> {
  const profile = await readBytes(path);
  const { description } = readIccProfile(profile, 'press', path);
  const sha256 = hash(profile);
  if (!soundProfiles.has(sha256)) await tryOut(profile, path, timeLimitMs);
  soundProfiles.add(sha256);
  return {
    id: `icc-${sha256.slice(0, 12)}`,
    title: description === '' ? basename(path) : description,
    shipped: undefined,
    profile,
    sha256,
    inkLimitPercent: inkLimitWithoutSuggestionPercent,
    inkLimitSource: 'no suggestion: job.yaml should set inkLimit',
    ...sheetFedShift,
  };
}

async function readBytes(file: string): Promise<Uint8Array> {
  try {
    const bytes = await readRegular(file, mostProfileBytes);
    return new Uint8Array(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  } catch (thrown) {
    const isTooLarge = thrown instanceof TooManyBytesError;
    const why = isTooLarge ? `${thrown.message}, more than any ICC profile` : messageOf(thrown);
    throw new PlatehandError(
      'profile-invalid',
      `This ICC profile cannot be read: ${why}`,
      'Check the path in job.yaml; it counts from the job folder.',
      { place: { file }, cause: thrown },
    );
  }
}

async function tryOut(profile: Uint8Array, file: string, timeLimitMs: number): Promise<void> {
  const outcome = await runTrial(profile, timeLimitMs);
  const remedy =
    'Ask the printer for a sound CMYK output profile, or name one of the shipped press conditions.';
  const place = { file };
  if (outcome === 'timeout') {
    const what = `The colour engine was still busy with this ICC profile after ${timeLimitMs / 1000} s`;
    throw new PlatehandError('profile-timeout', what, remedy, { place });
  }
  if (outcome.problem !== undefined) {
    throw new PlatehandError(
      'profile-invalid',
      `This ICC profile cannot be used: ${outcome.problem}`,
      remedy,
      { place },
    );
  }
}

function runTrial(profile: Uint8Array, timeLimitMs: number): Promise<TrialOutcome | 'timeout'> {
  return new Promise((resolve) => {
    // 512 MB is several times what a profile of the largest size allowed needs; a lying one must not take more.
    const worker = new Worker(programPath('profile-trial'), {
      workerData: { trialProfile: profile },
      resourceLimits: { maxOldGenerationSizeMb: 512 },
      stdout: true,
      stderr: true,
    });
    const end = (outcome: TrialOutcome | 'timeout') => {
      clearTimeout(timer);
      // The answer does not wait for the thread to be gone.
      void worker.terminate();
      resolve(outcome);
    };
    const timer = setTimeout(() => end('timeout'), timeLimitMs);
    worker.once('message', end);
    worker.once('error', (error) =>
      end({ problem: `the colour engine gives up on it (${messageOf(error)})` }),
    );
    worker.once('exit', () => end({ problem: 'the colour engine gives up on it' }));
  });
}

function hash(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}
