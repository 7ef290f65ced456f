import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { packageRoot } from '../config/package-root.js';
import { type Arrows, circleIn } from './helpers/circles.js';
import { exportedFunctions, interfaceMethods } from './helpers/signatures.js';
import { readSources, type SourceFile } from './helpers/source-tree.js';

/**
 * The rooms of the house from the ground up, each with the rooms it may import from. A room may only name rooms that
 * stand above it in this list, so nothing here can run in a circle. A new arrow is a decision: enter it on purpose.
 */
const rooms: Readonly<Record<string, readonly string[]>> = {
  config: [],
  // What stages hand to each other.
  model: ['config'],
  // How the stages do it.
  kernels: ['config'],
  reading: ['config', 'model', 'kernels'],
  line: ['config', 'model', 'kernels'],
  files: ['config', 'model', 'kernels', 'line'],
  sizes: ['config', 'model', 'kernels'],
  spreads: ['config', 'model', 'sizes'],
  register: ['config', 'model'],
  inks: ['config', 'model', 'kernels', 'line', 'files'],
  layers: ['config', 'model', 'kernels', 'line', 'sizes'],
  'plate-shift': ['config', 'model', 'kernels'],
  'colour-faults': ['config', 'model', 'inks'],
  sheets: ['config', 'model', 'kernels'],
  // The colours of pages, scenes and characters.
  palette: ['config', 'model', 'kernels', 'inks', 'sheets'],
  'edge-faults': ['config', 'model', 'kernels', 'inks'],
  'extra-inks': ['config', 'model', 'kernels', 'line', 'sizes'],
  flats: ['config', 'model', 'kernels', 'line'],
  'line-faults': ['config', 'model', 'kernels', 'line', 'register'],
  checks: [
    'config',
    'model',
    'kernels',
    'sizes',
    'inks',
    'layers',
    'flats',
    'line-faults',
    'colour-faults',
    'edge-faults',
    'palette',
  ],
  names: ['config', 'model'],
  // Review rounds: what was frozen, how two states of a page differ, what editors wrote.
  rounds: ['config', 'model', 'reading', 'files', 'inks'],
  views: ['config', 'model', 'kernels', 'line', 'inks'],
  // It explains the colours of views.
  report: ['config', 'model', 'views'],
  pdf: ['config', 'sheets'],
  stages: [
    'config',
    'model',
    'kernels',
    'reading',
    'line',
    'files',
    'sizes',
    'spreads',
    'register',
    'inks',
    'layers',
    'plate-shift',
    'colour-faults',
    'extra-inks',
    'flats',
    'line-faults',
    'checks',
    'names',
    'sheets',
    'palette',
  ],
  // A page from its files to its outputs.
  outputs: [
    'config',
    'model',
    'kernels',
    'files',
    'inks',
    'plate-shift',
    'sheets',
    'palette',
    'views',
    'report',
    'pdf',
    'stages',
  ],
  page: ['config', 'model', 'kernels', 'inks', 'layers', 'stages', 'outputs'],
  store: ['config', 'model', 'reading', 'files', 'outputs'],
  runner: ['config', 'model', 'kernels', 'files', 'outputs', 'page'],
  // An issue, and what is sent of it.
  // It reads headers, and pixels where a name leaves open what a picture is.
  issue: [
    'config',
    'model',
    'reading',
    'register',
    'files',
    'names',
    'palette',
    'pdf',
    'rounds',
    'report',
    'stages',
    'outputs',
    'page',
    'store',
    'runner',
    'inks',
  ],
  bag: ['config', 'reading', 'files', 'rounds', 'pdf', 'outputs', 'store', 'issue'],
  // What machines hand to each other.
  queue: ['config', 'model', 'reading', 'files', 'outputs', 'page', 'store', 'runner', 'bag'],
  // What an editor reviews: rounds frozen, and pages held against a round or a delivery.
  review: [
    'config',
    'model',
    'kernels',
    'files',
    'inks',
    'sheets',
    'rounds',
    'pdf',
    'stages',
    'outputs',
    'store',
    'issue',
    'bag',
  ],
  api: ['config', 'model', 'names', 'palette', 'stages', 'rounds', 'runner', 'issue', 'bag', 'review'],
  // What people and daemons call.
  'watch/daemon': [
    'config',
    'model',
    'files',
    'names',
    'outputs',
    'store',
    'runner',
    'queue',
    'issue',
    'bag',
  ],
  'watch/worker': ['config', 'model', 'reading', 'files', 'store', 'runner', 'queue', 'bag', 'watch/daemon'],
  'watch/commands': [
    'config',
    'model',
    'files',
    'outputs',
    'store',
    'runner',
    'queue',
    'issue',
    'bag',
    'api',
    'watch/daemon',
    'watch/worker',
  ],
  cli: ['config', 'watch/commands'],
  'sample-job': ['config', 'api', 'watch/commands'],
};

/** Imports that break the table for a reason that outweighs it; one at most, none is the aim. */
const exceptions: readonly { readonly from: string; readonly to: string; readonly reason: string }[] = [];

/** The files in pipeline/ itself: a stage each, and the public functions. */
const stages = [
  'clean-line',
  'contact-sheet',
  'extra-inks',
  'fit',
  'flats-report',
  'flatten',
  'index',
  'inspect',
  'inspect-flats',
  'line-art',
  'proof',
  'read',
  'reconcile',
  'register',
  'separate',
  'shift-plates',
  'split',
  'write',
];

const maxFileLines = 260;
const maxFunctionLines = 45;
const maxMedianFunctionLines = 10;
/** A file that is shorter than this has to be worth opening. */
const smallFileLines = 40;
const maxSmallFiles = 15;

function roomOf(path: string): string {
  const steps = path.split('/');
  if (steps.length === 1) return 'cli';
  if (steps[0] === 'watch') return `watch/${steps[1]}`;
  if (steps[0] !== 'pipeline') return steps[0];
  if (steps.length > 2) return steps[1];
  return steps[1] === 'index.ts' ? 'api' : 'stages';
}

const isKernel = ({ path }: SourceFile) => path.startsWith('pipeline/kernels/assembly/');

const everything = readSources();
/** The kernels have a compiler and a language of their own. */
const sources = everything.filter((file) => !isKernel(file));

interface Arrow {
  readonly from: string;
  readonly to: string;
}

const betweenRooms = sources
  .flatMap(({ path, imports }) => imports.map((to): Arrow => ({ from: path, to })))
  .filter(({ from, to }) => roomOf(from) !== roomOf(to));
const isException = ({ from, to }: Arrow) => exceptions.some((each) => each.from === from && each.to === to);
const mayImport = ({ from, to }: Arrow) => rooms[roomOf(from)]?.includes(roomOf(to)) ?? false;

describe('who imports whom', () => {
  test('the table names rooms from the ground up, and all there are', () => {
    const order = Object.keys(rooms);
    const uphill = order.flatMap((room, at) =>
      rooms[room]
        .filter((other) => !order.slice(0, at).includes(other))
        .map((other) => `${room} -> ${other}`),
    );
    expect(uphill).toEqual([]);
    expect([...new Set(sources.map(({ path }) => roomOf(path)))].sort()).toEqual([...order].sort());
  });

  test('every import between rooms stands in the table', () => {
    const broken = betweenRooms.filter((arrow) => !mayImport(arrow) && !isException(arrow));
    expect(broken.map(({ from, to }) => `${roomOf(from)} -> ${roomOf(to)}: ${from} imports ${to}`)).toEqual(
      [],
    );
  });

  test('the table allows no more than is used', () => {
    const used = new Set(betweenRooms.map(({ from, to }) => `${roomOf(from)} -> ${roomOf(to)}`));
    const allowed = Object.entries(rooms).flatMap(([room, others]) =>
      others.map((each) => `${room} -> ${each}`),
    );
    expect(allowed.filter((arrow) => !used.has(arrow))).toEqual([]);
  });

  test('at most one exception, in use and with its reason', () => {
    expect(exceptions.length).toBeLessThanOrEqual(1);
    for (const each of exceptions) {
      expect(each.reason).not.toBe('');
      expect(betweenRooms).toContainEqual({ from: each.from, to: each.to });
    }
  });

  test('no circle between rooms', () => {
    const arrows = new Map<string, Set<string>>();
    for (const { from, to } of betweenRooms) add(arrows, roomOf(from), roomOf(to));
    expect(circleIn(arrows)?.join(' -> ')).toBeUndefined();
  });

  test('no circle between files, types included', () => {
    const arrows: Arrows = new Map(sources.map(({ path, imports }) => [path, new Set(imports)]));
    expect(circleIn(arrows)?.join(' -> ')).toBeUndefined();
  });

  test('pipeline/ itself holds the stages and nothing else', () => {
    const inRoot = sources.filter(({ path }) => /^pipeline\/[^/]+$/.test(path));
    expect(inRoot.map(({ path }) => path.slice('pipeline/'.length, -'.ts'.length)).sort()).toEqual(stages);
  });
});

function add(arrows: Map<string, Set<string>>, from: string, to: string): void {
  const known = arrows.get(from);
  if (known === undefined) arrows.set(from, new Set([to]));
  else known.add(to);
}

describe('what fits a screen', () => {
  const functions = everything.flatMap((file) => file.functions);

  test(`no file has more than ${maxFileLines} lines`, () => {
    const long = everything.filter(({ lines }) => lines > maxFileLines);
    expect(long.map(({ path, lines }) => `${path}: ${lines}`)).toEqual([]);
  });

  test(`no function has more than ${maxFunctionLines} lines`, () => {
    const long = functions.filter(({ lines }) => lines > maxFunctionLines);
    expect(long.map(({ place, lines }) => `${place}: ${lines}`)).toEqual([]);
  });

  test(`half of the functions have at most ${maxMedianFunctionLines} lines`, () => {
    const lengths = functions.filter(({ isNamed }) => isNamed).map(({ lines }) => lines);
    expect(lengths.length).toBeGreaterThan(1000);
    expect(lengths.sort((a, b) => a - b)[lengths.length >> 1]).toBeLessThanOrEqual(maxMedianFunctionLines);
  });

  test(`at most ${maxSmallFiles} files have less than ${smallFileLines} lines`, () => {
    const small = sources.filter(({ path, lines }) => lines < smallFileLines && !path.endsWith('.d.ts'));
    const list = small.map(({ path, lines }) => `${path}: ${lines}`).sort();
    expect(list.length, list.join('\n')).toBeLessThanOrEqual(maxSmallFiles);
  });
});

describe('what is said where it stands', () => {
  test('every option, setting and request says what it means', () => {
    expect(sources.flatMap(({ undocumentedMembers }) => undocumentedMembers)).toEqual([]);
  });

  test('every public function and type says what it is for', () => {
    const atTheDoor = new Set(sources.find(({ path }) => path === 'pipeline/index.ts')?.imports);
    const open = sources.filter(({ path }) => atTheDoor.has(path));
    expect(open.length).toBeGreaterThan(5);
    expect(open.flatMap(({ undocumented }) => undocumented)).toEqual([]);
  });
});

describe('the kernels', () => {
  const read = (path: string) => readFileSync(join(packageRoot(), 'pipeline', 'kernels', path), 'utf8');

  test('are declared as they are compiled: same names, same parameters in the same order', () => {
    const declared = interfaceMethods(read('kernels.ts'));
    const doors = exportedFunctions('index.ts', (path) => read(`assembly/${path}`));
    expect(declared).toEqual(doors);
    expect(Object.keys(declared).length).toBeGreaterThan(30);
  });
});
