import { registerLimitMm } from '../model/movement.js';
import type { PageResult, PageTrace, TracedPart, UsedFile, VersionChange } from '../model/page-result.js';
import { tracedParts } from '../model/page-result.js';
import { areOnePicture, openLook } from '../register/looks.js';
import { movementMeasures, still } from '../register/similarity.js';
import { traceMatch } from '../register/traces.js';
import { compareVersions, sameLikeness } from '../register/versions.js';
import type { ResultStore, StoredResult } from '../store/result-store.js';

/**
 * What became of a page's parts since their last version. A page's own work cannot know: the same files give the same result, whatever
 * was there before. So this stands beside the result in the store, and is worked out when a result is made.
 * @param store has the sketches of the result before
 * @param before the newest result of the page until now
 */
export async function versionChanges(
  store: ResultStore,
  before: StoredResult | undefined,
  now: PageResult,
): Promise<readonly VersionChange[]> {
  if (before === undefined) return [];
  const changed = tracedParts.filter((part) => isChanged(fileOf(before.result, part), fileOf(now, part)));
  // A setting has changed, or more products are made: what was found between the versions still holds.
  if (changed.length === 0) return before.versions ?? [];
  const sketched = await store.withSketches(before);
  const changes = changed.flatMap((part) => changeOf(part, sketched, now));
  return wasPutRight(before.result, now) ? changes.filter(({ part }) => part === 'lettering') : changes;
}

/** Line that lay beside its colour and does not any more has been moved on purpose. */
function wasPutRight(before: PageResult, now: PageResult): boolean {
  const [last, own] = [before, now].map(({ measures }) => measures?.register);
  if (last === undefined || own?.verdict !== 'fits') return false;
  const wasOff = last.verdict === 'apart' || last.farthestMm > registerLimitMm;
  return wasOff && own.farthestMm <= registerLimitMm;
}

function fileOf({ used }: PageResult, part: TracedPart): UsedFile | undefined {
  return used.find((file) => file.part === part || (part === 'colour' && file.part === 'whole'));
}

function isChanged(before: UsedFile | undefined, now: UsedFile | undefined): boolean {
  return before !== undefined && now !== undefined && before.sha256 !== now.sha256;
}

function changeOf(
  part: TracedPart,
  { result: before, versions }: StoredResult,
  now: PageResult,
): VersionChange[] {
  const [one, other] = [before.traces?.[part], now.traces?.[part]];
  const [fileBefore, file] = [fileOf(before, part), fileOf(now, part)];
  if (!one || !other || !fileBefore || !file) return [];
  const files = { part, file: file.name, fileBefore: fileBefore.name };
  const earlier = versions?.find((change) => change.part === part)?.traceBefore;
  if (isUnchanged(part, one, other)) return [{ ...files, ...unchanged, traceBefore: earlier }];
  const fit = compareVersions(one, other);
  if (fit === undefined || fit.verdict === 'same' || fit.verdict === 'unknown') return [];
  // Perhaps a wrong picture was put right: it shows what the version before the last one did.
  const isBack = earlier !== undefined && traceMatch(earlier, other).value >= sameLikeness;
  const { verdict, places, agreeing, likeness, movement, displacementPx, ppi } = fit;
  const moved = movementMeasures(movement, displacementPx, ppi || 1);
  const traceBefore = verdict !== 'moved' ? { ...one, sketch: undefined } : undefined;
  const change = { ...files, verdict, ...moved, places, agreeing, likeness, traceBefore };
  return [verdict === 'other' && isBack ? { ...change, isBack } : change];
}

/**
 * What no place of some 7 mm may differ by for a picture to be the same, in levels of 255. A file that was written once more differs by
 * less; a dot of 0.3 mm that was put right, by more. Line is what it is, to the pixel. Own choice.
 */
const unchangedLevels: Readonly<Record<TracedPart, number>> = { colour: 0.25, line: 0, lettering: 0.25 };

/** Whether a new version shows what the last one did: nothing that anybody would see has changed. */
function isUnchanged(part: TracedPart, { look: one }: PageTrace, { look: other }: PageTrace): boolean {
  if (one === undefined || other === undefined) return false;
  return one === other || areOnePicture(openLook(one), openLook(other), unchangedLevels[part]);
}

/** A change that is none. */
const unchanged = {
  verdict: 'same',
  ...movementMeasures(still, 0, 1),
  places: 0,
  agreeing: 0,
  likeness: 1,
} as const satisfies Partial<VersionChange>;
