#!/usr/bin/env node
import { realpathSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { Command, InvalidArgumentError, Option } from 'commander';
import { packageVersion } from './config/package-root.js';
import { type Actions, actions } from './watch/actions.js';

/** What `--only` may name, and what each makes. */
const onlyChoices = ['proofs', 'press', 'plates'] as const;

const exitCodes = `
Exit codes: 0 done; 1 pages need attention; 2 wrong use or job.yaml; 3 incomplete issue refused.
A soft proof is not a contract proof; the printer's own specification decides.`;

/** Every command and option on one page; what they do is in `actions`. */
export function buildProgram(run: Actions = actions): Command {
  const program = new Command('platehand')
    .description("Prepares a comic issue's print files from its finished working pages.")
    .version(packageVersion())
    .addHelpText('after', exitCodes)
    .showHelpAfterError('(add --help for what is possible)')
    .exitOverride()
    .configureHelp({ showGlobalOptions: false });

  command(program, 'new', 'Make a job folder: a commented job.yaml and the folders beside it')
    .argument('<folder>', 'folder to make')
    .option('--issue <code>', 'issue code as file names carry it, such as TDL03')
    .option('--title <title>', 'title of the comic')
    .option('--pages <number>', 'number of interior pages', count)
    .action((folder, options) => run.create(folder, options));
  example(program, 'platehand new tdl03 --issue TDL03 --title "The Drowned Lighthouse" --pages 22');

  folderCommand(program, 'check', 'Match and inspect the pages; write nothing but the report')
    .option('--pages <choice>', 'pages to inspect, such as 3-5,cover (default: all)')
    .option('--report <file>', 'also write the report to this file, as JSON')
    .action((folder, options) => run.check(folder, options));
  example(program, 'platehand check tdl03 --report check.json');

  folderCommand(program, 'run', 'Prepare the pages: press files, plates, proofs and the contact sheet')
    .option('--pages <choice>', 'pages to work on, such as 3-5,cover (default: all)')
    .addOption(new Option('--only <what>', 'make only this').choices([...onlyChoices]))
    .action((folder, options) => run.run(folder, options));
  example(program, 'platehand run tdl03 --pages 3-5,cover --only press --jobs 2');

  folderCommand(program, 'proof', 'Make only the proofs and the contact sheet')
    .option('--pages <choice>', 'pages to work on, such as 3-5,cover (default: all)')
    .action((folder, options) => run.proof(folder, options));
  example(program, 'platehand proof tdl03');

  folderCommand(program, 'deliver', 'Run, then pack one verified bundle; refuse while pages are open')
    .option('--partial', 'deliver without the pages that are not ready (needs --reason)')
    .option('--reason <why>', 'why a partial delivery goes out; recorded in the bundle')
    .action((folder, options) => run.deliver(folder, options));
  example(program, 'platehand deliver tdl03 --partial --reason "page 9 follows on Friday"');

  command(program, 'verify', 'Check a bundle, or any BagIt bag, against its manifests')
    .argument('<bag>', 'ZIP file or folder')
    .action((bag, options) => run.verify(bag, options));
  example(program, 'platehand verify tdl03/delivery/TDL03.zip');

  command(program, 'status', 'Show where the issue stands: the page board and what blocks the delivery')
    .argument('[folder]', 'job folder', '.')
    .action((folder, options) => run.status(folder, options));
  example(program, 'platehand status tdl03');
  return program;
}

function command(program: Command, name: string, description: string): Command {
  return program
    .command(name)
    .description(description)
    .option('--json', 'print one JSON object instead of text');
}

function folderCommand(program: Command, name: string, description: string): Command {
  return command(program, name, description)
    .argument('[folder]', 'job folder', '.')
    .option(
      '--jobs <number>',
      'pages worked on at the same time (default: one a core, as memory allows)',
      count,
    );
}

function example(program: Command, line: string): void {
  program.commands.at(-1)?.addHelpText('after', `\nExample:\n  $ ${line}`);
}

function count(text: string): number {
  const number = Number(text);
  if (!Number.isInteger(number) || number < 1)
    throw new InvalidArgumentError('Give a whole number from 1 up.');
  return number;
}

/** Whether this file is what Node was started with, also through the link that npm makes for `platehand`. */
function isMain(): boolean {
  const started = process.argv[1];
  return started !== undefined && import.meta.url === pathToFileURL(realpathSync(started)).href;
}

if (isMain()) {
  const { runCli } = await import('./watch/run-cli.js');
  process.exitCode = await runCli(buildProgram(), process.argv);
}
