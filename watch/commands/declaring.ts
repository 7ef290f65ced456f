import { type Command, InvalidArgumentError, Option } from 'commander';

/** What the declarations of commands have in common. */

/** A command that can print JSON. */
export function command(program: Command, name: string, description: string): Command {
  return program
    .command(name)
    .description(description)
    .option('--json', 'print one JSON object instead of text');
}

/** A command on the pages of a job folder. */
export function folderCommand(program: Command, name: string, description: string): Command {
  return command(program, name, description).argument('[folder]', 'job folder', '.').addOption(jobs());
}

/** Examples below the help of the command declared last. */
export function example(program: Command, ...lines: readonly string[]): void {
  moreHelp(program, `\nExample:\n${lines.map((line) => `  $ ${line}`).join('\n')}`);
}

/** More below it. */
export function moreHelp(program: Command, text: string): void {
  program.commands.at(-1)?.addHelpText('after', text);
}

/** A whole number from 1 up. @throws InvalidArgumentError */
export function count(text: string): number {
  const number = Number(text);
  if (!Number.isInteger(number) || number < 1)
    throw new InvalidArgumentError('Give a whole number from 1 up.');
  return number;
}

/** Seconds, 0.05 to 86400. @throws InvalidArgumentError */
export function seconds(text: string): number {
  const number = Number(text);
  if (!(number >= 0.05 && number <= 86_400))
    throw new InvalidArgumentError('Give seconds, from 0.05 to 86400.');
  return number;
}

/** The states of a page, as the board shows them. */
export const stateMeanings = `
States of a page:
  done       made; nothing to look at
  attention  made, and may be delivered; somebody should look first
  stopped    cannot go to print as it is; the finding says why
  ready      all its files are there; not all of it is made yet
  waiting    something has arrived; it waits for the part that is named
  missing    nothing has arrived
  contested  two files claim the same place; neither is used
  held       held back by job.yaml`;

/** How a queue is named. */
export const queueMeaning =
  'Redis server: redis://host:port, rediss:// with TLS; user and password also in PLATEHAND_QUEUE_USER and PLATEHAND_QUEUE_PASSWORD';

/** Where the machines of a queue find each other's files. */
export function sharedFiles(declared: Command): Command {
  return declared
    .option(
      '--store <where>',
      'folder, or s3://bucket/prefix, for what pages are made from and what is made of them; the same on every machine (default: what PLATEHAND_STORE says)',
    )
    .option('--cache <folder>', "what has been fetched from there (default: in the user's cache folder)");
}

/** What a command may leave to the workers of a queue. @param what in one phrase */
export function byQueue(declared: Command, what: string): Command {
  return sharedFiles(declared.option('--queue <url>', `${what} (needs a store). ${queueMeaning}`));
}

/** How many pages at a time. */
export function jobs(): Option {
  const meaning = 'pages worked on at the same time (default: one a core, as memory allows)';
  return new Option('--jobs <number>', meaning).argParser(count);
}

/** Below the help of all. */
export const exitCodes = `
Exit codes: 0 done; 1 a page is stopped, waiting, missing, contested or not worked on, or a file unknown; 2 wrong use or job.yaml; 3 incomplete issue refused.
A soft proof is not a contract proof; the printer's own specification decides.`;
