import { spawn } from 'node:child_process';
import { readFile } from 'node:fs/promises';

/** What one run of a contender took. */
export interface Measured {
  readonly wallS: number;
  /** Processor time of the process and all that it started, in seconds. */
  readonly cpuS: number;
  /** The most memory that all of its processes had at the same time, in MB (resident; shared pages count in each). */
  readonly peakMB: number;
  /** The most memory that one of its processes had, in MB. */
  readonly largestMB: number;
}

/** How often memory is looked at. */
const sampleMs = 40;

/** Linux counts processor time in hundredths of a second and memory in pages of 4 KB. */
const ticksPerSecond = 100;
const bytesPerPage = 4096;

/**
 * Runs a command and measures it with all of its processes, by what Linux tells in /proc: on other systems there is
 * nothing to read.
 * @throws Error with the end of its output if it fails
 */
export async function measure(
  command: string,
  args: readonly string[],
  options: { readonly env?: Readonly<Record<string, string>>; readonly allowed?: readonly number[] } = {},
): Promise<Measured> {
  const cpuBefore = await cpuOfEnded();
  const start = performance.now();
  const child = spawn(command, [...args], {
    stdio: ['ignore', 'pipe', 'pipe'],
    env: { ...process.env, ...options.env },
  });
  let output = '';
  child.stdout.on('data', (text) => (output += text));
  child.stderr.on('data', (text) => (output += text));
  const ended = new Promise<number | null>((resolve, reject) => {
    child.once('error', reject);
    child.once('close', resolve);
  });
  const peak = watchMemory(child.pid ?? 0, ended);
  const code = await ended;
  const wallS = (performance.now() - start) / 1000;
  if (!(options.allowed ?? [0]).includes(code ?? -1)) {
    throw new Error(`${command} ended with ${code}:\n${output.slice(-2000)}`);
  }
  return { wallS, cpuS: (await cpuOfEnded()) - cpuBefore, ...(await peak) };
}

/** Processor time of all processes that this one has started and that have ended: fields 16 and 17 of /proc/self/stat. */
async function cpuOfEnded(): Promise<number> {
  const fields = afterName(await readFile('/proc/self/stat', 'utf8'));
  return (Number(fields[13]) + Number(fields[14])) / ticksPerSecond;
}

/** Fields from the third on: the second is a name in brackets that may hold blanks. */
function afterName(stat: string): string[] {
  return stat.slice(stat.lastIndexOf(')') + 2).split(' ');
}

async function watchMemory(root: number, ended: Promise<unknown>): Promise<Memory> {
  let most: Memory = { peakMB: 0, largestMB: 0 };
  let running = true;
  void ended.catch(() => undefined).then(() => (running = false));
  while (running) {
    const { peakMB, largestMB } = await familyMemory(root);
    most = { peakMB: Math.max(most.peakMB, peakMB), largestMB: Math.max(most.largestMB, largestMB) };
    await new Promise((resolve) => setTimeout(resolve, sampleMs));
  }
  return most;
}

type Memory = Pick<Measured, 'peakMB' | 'largestMB'>;

/** Resident memory of a process and everything below it, in MB. */
export async function memoryOf(root: number): Promise<number> {
  return (await familyMemory(root)).peakMB;
}

/**
 * Resident memory of a process with everything below it, and of the largest of them. Only the family is asked: looking through all of /proc so
 * often would take time from those that are measured. Everyone here starts others from its main thread.
 */
async function familyMemory(root: number): Promise<Memory> {
  let pages = 0;
  let largest = 0;
  for (const family = [root]; family.length > 0; ) {
    const pid = family.pop();
    const [memory, children] = await Promise.all(
      [`/proc/${pid}/statm`, `/proc/${pid}/task/${pid}/children`].map((path) =>
        readFile(path, 'utf8').catch(() => ''),
      ),
    );
    const own = Number(memory.split(' ')[1] ?? 0);
    pages += own;
    largest = Math.max(largest, own);
    for (const child of children.split(' ')) if (child !== '') family.push(Number(child));
  }
  return { peakMB: (pages * bytesPerPage) / 1e6, largestMB: (largest * bytesPerPage) / 1e6 };
}

/** The middle of several runs. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = Math.floor(sorted.length / 2);
  return sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}

/** The middle of several runs: wall and CPU in seconds a page, and the memory of all. */
export interface Middle {
  readonly wallS: number;
  readonly cpuS: number;
  readonly peakMB: number;
  readonly largestMB: number;
}

export function middleOf(runs: readonly Measured[], pages: number): Middle {
  return {
    wallS: median(runs.map(({ wallS }) => wallS)) / pages,
    cpuS: median(runs.map(({ cpuS }) => cpuS)) / pages,
    peakMB: median(runs.map(({ peakMB }) => peakMB)),
    largestMB: median(runs.map(({ largestMB }) => largestMB)),
  };
}
