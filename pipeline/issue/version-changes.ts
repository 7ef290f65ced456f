import { registerLimitMm } from '../model/movement.js';
import type { PageResult, TracedPart, UsedFile, VersionChange } from '../model/page-result.js';
import { tracedParts } from '../model/page-result.js';
import { movementMeasures } from '../register/similarity.js';
import { traceMatch } from '../register/traces.js';
import { compareVersions, sameLikeness } from '../register/versions.js';
import type { StoredResult } from '../store/result-store.js';

/**
 * What became of a page's parts since their last version. A page's own work cannot know: the same files give the same result, whatever
 * was there before. So this stands beside the result in the store, and is worked out when a result is made.
 * @param before the newest result of the page until now
 */
export function versionChanges(before: StoredResult | undefined, now: PageResult): readonly VersionChange[] {
  if (before === undefined) return [];
  const changed = tracedParts.filter((part) => isChanged(fileOf(before.result, part), fileOf(now, part)));
  // A setting has changed, or more products are made: what was found between the versions still holds.
  if (changed.length === 0) return before.versions ?? [];
  const changes = changed.flatMap((part) => changeOf(part, before, now));
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
  const fit = compareVersions(one, other);
  if (fit === undefined || fit.verdict === 'same' || fit.verdict === 'unknown') return [];
  // Perhaps a wrong picture was put right: it shows what the version before the last one did.
  const earlier = versions?.find((change) => change.part === part)?.traceBefore;
  const isBack = earlier !== undefined && traceMatch(earlier, other).value >= sameLikeness;
  const { verdict, places, agreeing, likeness, movement, displacementPx, ppi } = fit;
  const moved = movementMeasures(movement, displacementPx, ppi || 1);
  const files = { part, file: file.name, fileBefore: fileBefore.name };
  const traceBefore = verdict !== 'moved' ? { ...one, sketch: undefined } : undefined;
  const change = { ...files, verdict, ...moved, places, agreeing, likeness, traceBefore };
  return [verdict === 'other' && isBack ? { ...change, isBack } : change];
}
