import type { BenchIssue } from './bench-job.js';
import { cores } from './contenders.js';
import type { Comparison } from './equal-work.js';
import { onlyName } from './kinds/kind-contenders.js';
import type { PageKind } from './kinds/page-kind.js';
import type { Middle } from './measure.js';

/** What a race says at its end: a table for people, ratios for programs. */

/** A contender with its middle run. */
export interface Row extends Middle {
  readonly name: string;
}

interface Race {
  readonly issue: BenchIssue;
  readonly kind: PageKind;
  readonly runs: number;
  /** platehand first. */
  readonly middle: readonly Row[];
  readonly compared: readonly Comparison[];
}

function ratio(one: number | undefined, other: number | undefined): number | null {
  return one === undefined || other === undefined ? null : Number((one / other).toFixed(2));
}

/** Ratios over platehand's; of pages that are no pairs also of platehand at the scripts' work. */
export function summaryOf({ issue, kind, middle }: Race) {
  const own = middle[0];
  const of = (name: string) => middle.find((each) => each.name === name);
  const wall = (name: string, over: Row | undefined = own) => ratio(of(name)?.wallS, over?.wallS);
  const cpu = (name: string, over: Row | undefined = own) => ratio(of(name)?.cpuS, over?.cpuS);
  const shared = {
    pages: issue.pages,
    cpuOverFloor: ratio(own.cpuS, of('floor')?.cpuS),
    peakMB: Math.round(own.peakMB),
    largestMB: Math.round(own.largestMB),
  };
  if (kind === 'pairs') {
    const names = ['vips', 'imagemagick', 'sharp'];
    return { ...shared, wallRatio: Object.fromEntries(names.map((name) => [name, wall(name)])) };
  }
  const only = of(onlyName);
  return {
    kind,
    ...shared,
    wallRatio: { vips: wall('vips'), sharp: wall('sharp') },
    cpuRatio: { vips: cpu('vips'), sharp: cpu('sharp') },
    theseFilesOnly: {
      wallRatio: { vips: wall('vips', only), sharp: wall('sharp', only) },
      cpuRatio: { vips: cpu('vips', only), sharp: cpu('sharp', only) },
      cpuOverFloor: ratio(only?.cpuS, of('floor')?.cpuS),
      largestMB: only === undefined ? null : Math.round(only.largestMB),
    },
  };
}

/** Prints the table, and how the others' first page differs from platehand's. */
export function printRace({ issue, kind, runs, middle, compared }: Race): void {
  const own = middle[0];
  const only = middle.find(({ name }) => name === onlyName);
  console.log(
    `${issue.pages} pages (${kind}) of 4350 x 6300 to ${issue.colourPpi} ppi, ${cores} cores, medians of ${runs} runs\n`,
  );
  const heads = ['wall s a page', 'CPU s a page', 'memory MB', 'largest MB', 'wall over platehand'];
  const more = only === undefined ? [] : ['wall over these files only', 'CPU over these files only'];
  const columns = [...heads, 'CPU over platehand', ...more];
  console.log(`| | ${columns.join(' | ')} |\n| ---${' | ---'.repeat(columns.length)} |`);
  for (const { name, wallS, cpuS, peakMB, largestMB } of middle) {
    const seconds = [wallS, cpuS].map((each) => each.toFixed(2));
    const memory = [peakMB, largestMB].map((each) => each.toFixed(0));
    const ratios = [own, ...(only === undefined ? [] : [only])].flatMap((over) => {
      return [wallS / over.wallS, cpuS / over.cpuS].map((each) => each.toFixed(2));
    });
    console.log(`| ${[name, ...seconds, ...memory, ...ratios].join(' | ')} |`);
  }
  const where = kind === 'pairs' ? '' : ' beside the line';
  console.log(`
Page 1 beside platehand: mean difference of C, M, Y, K${where} (of 255), line pixels that differ, bytes`);
  for (const { name, inkDifference, linePixels, bytes } of compared) {
    const inks = inkDifference.map((each) => each.toFixed(1)).join(', ');
    console.log(`  ${name}: ${inks}; ${linePixels}; ${(bytes / 1e6).toFixed(1)} MB`);
  }
}
