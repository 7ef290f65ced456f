import { type Command, CommanderError } from 'commander';
import { type ExitCode, exitCode, messageOf, PlatehandError } from '../../config/errors.js';
import { visible, visibleLines } from '../../config/visible-text.js';
import { inWords } from '../../pipeline/files/disk-trouble.js';
import { IncompleteIssueError, JobInvalidError } from '../../pipeline/index.js';
import { errorFacts } from './report-text.js';

/**
 * Runs the command line and turns every failure into one message and an exit code: refusals in plain words, faults of
 * the program with their trace. The only place that catches everything.
 */
export async function runCli(program: Command, argv: readonly string[]): Promise<ExitCode> {
  process.stdout.on('error', whenReaderLeaves);
  showVisibly(program);
  try {
    await program.parseAsync([...argv]);
    return (process.exitCode ?? exitCode.done) as ExitCode;
  } catch (raw) {
    const thrown = inWords(raw);
    const asJson = argv.includes('--json');
    if (!(thrown instanceof CommanderError)) return asJson ? failAsJson(argv, thrown) : failAsText(thrown);
    // The parser has printed its own message, or the help that was asked for.
    if (thrown.exitCode === 0) return exitCode.done;
    if (asJson) failAsJson(argv, asWrongUse(thrown));
    return exitCode.wrongUse;
  }
}

/** What the parser complains about may repeat what was typed. */
function showVisibly(program: Command): void {
  const writeErr = (text: string) => process.stderr.write(visibleLines(text));
  for (const each of [program, ...program.commands]) each.configureOutput({ writeErr });
}

/** Refusals that list what is wrong, a line each; whatever else has a line end in it got it from a name. */
function hasLines(thrown: PlatehandError): boolean {
  return thrown instanceof JobInvalidError || thrown instanceof IncompleteIssueError;
}

/** Who reads our output may stop early (`| head`): then there is nobody left to tell. */
function whenReaderLeaves(error: NodeJS.ErrnoException): void {
  if (error.code !== 'EPIPE') throw error;
  process.exit();
}

function asWrongUse({ message }: CommanderError): PlatehandError {
  const what = message.replace(/^error: /, '').replace(/\.$/, '');
  return new PlatehandError('wrong-use', what, 'Add --help to the command for what is possible.');
}

function failAsText(thrown: unknown): ExitCode {
  if (thrown instanceof PlatehandError) {
    process.stderr.write(`${hasLines(thrown) ? visibleLines(thrown.message) : visible(thrown.message)}\n`);
    return thrown.exitCode;
  }
  const trace = thrown instanceof Error ? thrown.stack : undefined;
  process.stderr.write(`platehand failed unexpectedly: ${visibleLines(trace ?? messageOf(thrown))}\n`);
  process.stderr.write(
    'This is a fault of platehand, not of your files; nothing in incoming/ was touched.\n',
  );
  return exitCode.attention;
}

function failAsJson(argv: readonly string[], thrown: unknown): ExitCode {
  const known = thrown instanceof PlatehandError ? thrown : undefined;
  const code = known?.exitCode ?? exitCode.attention;
  const error = errorFacts(thrown);
  const command = argv.slice(2).find((word) => !word.startsWith('-')) ?? null;
  process.stdout.write(`${visibleLines(JSON.stringify({ command, exitCode: code, error }, null, 2))}\n`);
  return code;
}
