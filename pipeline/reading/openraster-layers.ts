import { counted } from '../../config/figures.js';
import type { Noticed } from '../model/findings.js';
import type { Archive } from './openraster-archive.js';
import type { StackGroup } from './openraster-stack.js';
import { dayOfDosDate, latestDay } from './stated-day.js';
import type { StoredPicture } from './stored-picture.js';

/** What the layers of an OpenRaster file have in common. */

/** Its archive, and the headers of the pictures that its layers name. */
interface Described {
  readonly archive: Archive;
  readonly heads: ReadonlyMap<string, StoredPicture>;
}

/**
 * The format has no date of its own: the day on which stack.xml was written, as the archive states it, or a later one that a
 * layer's picture states.
 */
export function statedDayOf({ archive, heads }: Described, root: StackGroup): string | undefined {
  const layers = shownSources(root).map((src) => heads.get(src)?.statedDay);
  return latestDay([...layers, dayOfDosDate(archive.entries.get('stack.xml')?.lastModFileDate ?? 0)]);
}

/** The one profile of the layers that are seen. OpenRaster has no profile for the page as a whole. */
export function commonProfile(
  opened: Described,
  root: StackGroup,
): { profile: Uint8Array | undefined; noticed: readonly Noticed[] } {
  const profiles = [...new Set(shownSources(root))].map((src) => opened.heads.get(src)?.profile);
  const tagged = profiles.filter((profile) => profile !== undefined);
  const one = tagged.every((profile) => Buffer.compare(profile, tagged[0]) === 0);
  const all = [...opened.heads.values()].flatMap((head) => head.noticed);
  // What is said of every layer is said once.
  const noticed = [...new Map(all.map((one) => [`${one.code} ${one.message}`, one])).values()];
  if (one && (tagged.length === 0 || tagged.length === profiles.length))
    return { profile: tagged[0], noticed };
  noticed.push({
    code: 'openraster-profiles-mixed',
    severity: 'warn',
    message: one
      ? `${profiles.length - tagged.length} of ${counted(profiles.length, 'layer')} came without a colour profile; that of the others is used for all`
      : 'The layers carry different colour profiles; the page is taken as untagged',
    remedy: 'Bring all layers into one colour space and save again',
  });
  return { profile: one ? tagged[0] : undefined, noticed };
}

/** The file of each layer that is seen. */
export function shownSources(group: StackGroup): string[] {
  return group.children
    .filter(({ visible }) => visible)
    .flatMap((child) => (child.kind === 'group' ? shownSources(child) : [child.src]));
}
