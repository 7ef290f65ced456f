import { archive, archives, bagFolder, damagedBundles, folders } from './attack-bags.js';
import type { AttackedIssue } from './attack-issue.js';
import { changedJobs, jobFile, jobFiles, jobPlace, jobPlaces } from './attack-jobs.js';
import { kill, killed, moved, program, programs } from './attack-life.js';
import { bomb, bombs, formats, giant, mostMutants, mutants } from './attack-pictures.js';
import { disk, disks, noDisks, thing, things } from './attack-places.js';

/** One attack on an issue of its own. */
export interface AttackCase {
  /** Kind and name, such as `bomb: 3000 scans.jpg`. */
  readonly name: string;
  /** How many cases it counts as: several damaged pages are tried in one run. */
  readonly count: number;
  readonly attack: (issue: AttackedIssue) => Promise<void>;
  /** Why it cannot be tried here. */
  readonly skipped?: string | undefined;
}

type ByName<Name extends string = string> = (issue: AttackedIssue, name: Name) => Promise<void>;

const each = (kind: string, names: readonly string[], attack: ByName): AttackCase[] =>
  names.map((name) => ({ name: `${kind}: ${name}`, count: 1, attack: (issue) => attack(issue, name) }));

/** Archives and job files are quick to try one by one, and few enough of each batch to name the one that failed. */
const [bundlesAtOnce, jobsAtOnce] = [10, 10];

/** Every attack that has a name, once. */
export function namedCases(random: () => number): AttackCase[] {
  const diskNames = Object.keys(disks) as (keyof typeof disks & Parameters<typeof disk>[1])[];
  return [
    ...each('bomb', Object.keys(bombs), bomb),
    { name: 'bomb: a sparse file of 60 GB', count: 1, attack: giant },
    ...each('archive', Object.keys(archives), archive),
    ...each('bag', Object.keys(folders), bagFolder),
    ...each('job.yaml', Object.keys(jobFiles), jobFile),
    ...each('job.yaml in its place', Object.keys(jobPlaces), jobPlace),
    ...each('incoming', Object.keys(things), thing),
    ...diskNames.map((name) => diskCase(name, random)),
    ...each('event program', Object.keys(programs), program),
    { name: 'a folder that is moved', count: 1, attack: moved },
    ...killed.map((who) => killCase(who, random)),
  ];
}

function diskCase(name: Parameters<typeof disk>[1], random: () => number): AttackCase {
  return {
    name: `disk: ${name}`,
    count: 1,
    attack: (issue) => disk(issue, name, random),
    skipped: noDisks(),
  };
}

function killCase(who: (typeof killed)[number], random: () => number): AttackCase {
  return { name: `kill: ${who}`, count: 1, attack: (issue) => kill(issue, who, random) };
}

/** One more attack of the kinds that never come to an end, in turn: damaged pages mostly, then bundles, job files, disks, kills. */
export function endlessCase(turn: number, left: number, random: () => number): AttackCase {
  const seed = Math.floor(random() * 2 ** 31);
  const kinds = [...formats, ...formats, 'bundles', 'jobs', 'kill', 'disk'] as const;
  const kind = kinds[turn % kinds.length];
  if (kind === 'kill') return killCase(killed[Math.floor(turn / kinds.length) % killed.length], random);
  if (kind === 'disk')
    return diskCase(Math.floor(turn / kinds.length) % 2 === 0 ? 'no room' : 'no inodes', random);
  const most = kind === 'bundles' ? bundlesAtOnce : kind === 'jobs' ? jobsAtOnce : mostMutants;
  const count = Math.max(1, Math.min(most, left));
  const attack = {
    bundles: (issue: AttackedIssue) => damagedBundles(issue, count, seed),
    jobs: (issue: AttackedIssue) => changedJobs(issue, count, random),
  };
  const isFormat = kind !== 'bundles' && kind !== 'jobs';
  return {
    name: `damaged ${kind}, seed ${seed}`,
    count,
    attack: isFormat ? (issue) => mutants(issue, kind, count, seed) : attack[kind],
  };
}
