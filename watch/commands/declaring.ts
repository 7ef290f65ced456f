import { type Command, InvalidArgumentError } from 'commander';

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
  return command(program, name, description)
    .argument('[folder]', 'job folder', '.')
    .option(
      '--jobs <number>',
      'pages worked on at the same time (default: one a core, as memory allows)',
      count,
    );
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
