import { parentPort, workerData } from 'node:worker_threads';
import { messageOf } from '../errors.js';
import { intents } from '../print-spec.js';
import { ciede2000, type Lab } from './ciede2000.js';
import { type ExactTransform, exactTransform, loadProfile } from './colour-engine.js';

/**
 * Tries the colour engine on a press profile that people brought. Runs as a worker thread of its own, because a
 * profile can be damaged so that the engine never comes back; `press.ts` then ends the thread.
 */

/** What the worker answers. */
export interface TrialOutcome {
  /** One sentence about what is wrong; undefined where nothing is. */
  readonly problem: string | undefined;
}

/** Muted sRGB colours (0 to 1) that lie within the gamut of any press, newsprint included. */
const mutedColours = [
  [0.78, 0.78, 0.78],
  [0.6, 0.6, 0.6],
  [0.78, 0.67, 0.59],
  [0.6, 0.67, 0.75],
  [0.72, 0.7, 0.55],
  [0.67, 0.59, 0.67],
];

/**
 * How far a muted colour may come back from ink, in CIEDE2000. Sound profiles stay below 3, mislabelled ones far above
 * 10; own measurement on the shipped profiles and on damaged copies of them.
 */
const roundTripDe00 = 8;

/** Looks for wrong colours behind a sound structure; all bounds are wide, own choice, to let odd papers pass. */
export function tryProfile(bytes: Uint8Array): string | undefined {
  const press = loadProfile(bytes);
  const inkToLab = exactTransform({
    from: press,
    to: 'lab',
    intent: 'relative',
    blackPointCompensation: false,
  });
  for (const intent of intents) {
    const toInk = exactTransform({ from: 'srgb', to: press, intent, blackPointCompensation: false });
    const problem = tryInk(toInk, intent === 'absolute');
    if (problem !== undefined) return problem;
  }
  return trySolids(inkToLab) ?? tryRoundTrip(press, inkToLab);
}

function tryInk(toInk: ExactTransform, paperTinted: boolean): string | undefined {
  const white = inkOf(toInk, [1, 1, 1]);
  const black = inkOf(toInk, [0, 0, 0]);
  const grey = inkOf(toInk, [0.5, 0.5, 0.5]);
  if ([white, black, grey].some((ink) => ink.length !== 4 || !ink.every((part) => part >= 0 && part <= 1))) {
    return 'it gives amounts of ink that cannot be';
  }
  if (!paperTinted && sum(white) > 0.04) return 'it prints ink where the paper should stay white';
  if (sum(black) < 1) return 'it gives black too little ink to be black';
  if (sum(grey) < 0.2 || sum(grey) > 2.8)
    return 'it gives a middle grey an amount of ink that cannot be right';
  return undefined;
}

function trySolids(inkToLab: ExactTransform): string | undefined {
  const paper = labOf(inkToLab([0, 0, 0, 0]));
  const [cyan, magenta, yellow, black] = [0, 1, 2, 3].map((solid) =>
    labOf(inkToLab([0, 1, 2, 3].map((ink) => (ink === solid ? 1 : 0)))),
  ) as [Lab, Lab, Lab, Lab];
  if (!(ciede2000(paper, [100, 0, 0]) < 4)) return 'its paper is not the white of its own tables';
  const right = cyan[2] < -10 && magenta[1] > 15 && yellow[2] > 15 && black[0] < 65;
  return right ? undefined : 'its cyan, magenta, yellow and black do not look like those inks';
}

function tryRoundTrip(press: ReturnType<typeof loadProfile>, inkToLab: ExactTransform): string | undefined {
  const options = { from: 'srgb', intent: 'relative', blackPointCompensation: false } as const;
  const toLab = exactTransform({ ...options, to: 'lab' });
  const toInk = exactTransform({ ...options, to: press });
  for (const colour of mutedColours) {
    const difference = ciede2000(labOf(toLab([...colour])), labOf(inkToLab(toInk([...colour]))));
    if (!(difference < roundTripDe00)) return 'its tables from colour to ink and back do not belong together';
  }
  return undefined;
}

/** Inks from 0 to 1; rounding may leave a hair beyond. */
function inkOf(toInk: ExactTransform, colour: number[]): number[] {
  return toInk(colour).map((part) => (Math.abs(part) < 1e-6 ? 0 : Math.abs(part - 1) < 1e-6 ? 1 : part));
}

function labOf(encoded: number[]): Lab {
  const [l = Number.NaN, a = Number.NaN, b = Number.NaN] = encoded;
  return [l * 100, a * 255 - 128, b * 255 - 128];
}

function sum(ink: number[]): number {
  return ink.reduce((total, part) => total + part, 0);
}

const trialOf = (workerData as { trialProfile?: Uint8Array } | null)?.trialProfile;
if (parentPort !== null && trialOf !== undefined) {
  let outcome: TrialOutcome;
  try {
    outcome = { problem: tryProfile(trialOf) };
  } catch (thrown) {
    outcome = { problem: `the colour engine gives up on it (${messageOf(thrown)})` };
  }
  parentPort.postMessage(outcome);
}
