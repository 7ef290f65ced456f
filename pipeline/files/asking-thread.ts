import { Worker } from 'node:worker_threads';
import { largestOwnFileBytes, openFlags } from '../../config/regular-file.js';

/**
 * A thread that asks the disk. Asking one thing after the other there takes a tenth of what it takes to have each asked for by itself, and
 * looking at an issue of 2,000 pages asks for some 50,000. A disk that does not answer holds up the thread and nothing else.
 */

/** What the disk may be asked, and what it answers. Nothing that cannot be told is an error: it is not there. */
export interface DiskAnswers {
  /** Sizes in bytes and times in milliseconds of files, by turns; no numbers for one that is not there. */
  readonly standing: Float64Array;
  /** A file's text in UTF-8. */
  readonly text: string | undefined;
  /** The names in a folder. */
  readonly names: readonly string[];
}

type Kind = keyof DiskAnswers;

/** What is asked of a place: which files in a folder stand, what a file says, what a folder holds. */
interface Question {
  readonly kind: Kind;
  /** An absolute path. */
  readonly at: string;
  /** Names of files below it, with forward slashes, one behind the other: a text is sent several times as quickly as a list. */
  readonly names: string;
}

/**
 * What the thread does. It is its own text, as it has no file. Its files are platehand's own, and regular ones: pipes and devices that
 * somebody has put in their place are not opened (config/regular-file.ts says why).
 */
const askingThread = `
const { parentPort } = require('node:worker_threads');
const fs = require('node:fs');
const orNothing = (ask) => { try { return ask(); } catch { return undefined; } };
const asked = {
  standing(folder, all) {
    const names = all.split('\\0');
    const found = new Float64Array(2 * names.length);
    names.forEach((name, each) => {
      const facts = orNothing(() => fs.statSync(folder + '/' + name, { throwIfNoEntry: false }));
      found[2 * each] = facts?.size ?? NaN;
      found[2 * each + 1] = facts?.mtimeMs ?? NaN;
    });
    return found;
  },
  text: (path) => orNothing(() => {
    const isOurs = (facts) => facts.isFile() && facts.size <= ${largestOwnFileBytes};
    if (!isOurs(fs.statSync(path))) return undefined;
    const file = fs.openSync(path, ${openFlags});
    try { return isOurs(fs.fstatSync(file)) ? fs.readFileSync(file, 'utf8') : undefined; } finally { fs.closeSync(file); }
  }),
  names: (path) => orNothing(() => fs.readdirSync(path)) ?? [],
};
parentPort.on('message', (questions) => {
  parentPort.postMessage(questions.map(({ kind, at, names }) => asked[kind](at, names)));
});`;

/** Who waits for an answer. */
interface Waiting {
  readonly answered: (answer: never) => void;
  readonly failed: (thrown: unknown) => void;
}

/** A thread, and who waits for it, in the order of asking, which is that of its answers: a list for each message. */
interface AskingThread {
  readonly worker: Worker;
  readonly waiting: Waiting[][];
}

let thread: AskingThread | undefined;

/** What has been asked since the last message was sent. */
let gathered: { readonly questions: Question[]; readonly waiting: Waiting[] } | undefined;

/** Questions in one message, so that the thread asks while this side goes through the answers before. Own choice: 4 to 16 are alike. */
const mostInMessage = 8;

/** Asks the disk in the thread. What is asked in one turn goes as one message: sending one takes longer than most answers. */
export function askDisk<K extends Kind>(kind: K, at: string, names = ''): Promise<DiskAnswers[K]> {
  return new Promise((answered, failed) => {
    if (gathered === undefined) {
      gathered = { questions: [], waiting: [] };
      setImmediate(send);
    }
    gathered.questions.push({ kind, at, names });
    gathered.waiting.push({ answered: answered as Waiting['answered'], failed });
    if (gathered.questions.length === mostInMessage) send();
  });
}

/** Starts the thread before anything is asked; it does not keep the process alive. */
export function startAsking(): void {
  const { worker, waiting } = openThread();
  if (waiting.length === 0) worker.unref();
}

function send(): void {
  if (gathered === undefined) return;
  const { questions, waiting } = gathered;
  gathered = undefined;
  const { worker, waiting: all } = openThread();
  all.push(waiting);
  // Only who waits keeps the process alive.
  worker.ref();
  worker.postMessage(questions);
}

function openThread(): AskingThread {
  if (thread !== undefined) return thread;
  const worker = new Worker(askingThread, { eval: true });
  const waiting: Waiting[][] = [];
  worker.on('message', (answers: readonly never[]) => {
    for (const [at, { answered }] of (waiting.shift() ?? []).entries()) answered(answers[at]);
    if (waiting.length === 0) worker.unref();
  });
  // A thread that could not go on is replaced at the next asking; who waits is told.
  worker.on('error', (thrown) => {
    thread = undefined;
    for (const { failed } of waiting.splice(0).flat()) failed(thrown);
  });
  thread = { worker, waiting };
  return thread;
}
