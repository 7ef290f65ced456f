#!/usr/bin/env node
import { realpathSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { Command, Option } from 'commander';
import { packageVersion } from './config/package-root.js';
import { type Actions, actions } from './watch/commands/actions.js';
import {
  byQueue,
  command,
  count,
  example,
  exitCodes,
  folderCommand,
  jobs,
  moreHelp,
  queueMeaning,
  seconds,
  sharedFiles,
  stateMeanings,
} from './watch/commands/declaring.js';

/** What `--only` may name, and what each makes. */
const onlyChoices = ['proofs', 'press', 'plates', 'pdf'] as const;

/** Every command and option on one page; what they do is in `actions`. */
export function buildProgram(run: Actions = actions): Command {
  const program = new Command('platehand')
    .description("Prepares a comic issue's print files from its finished working pages.")
    .version(packageVersion())
    .addHelpText('after', exitCodes)
    .showHelpAfterError('(add --help for what is possible)')
    .exitOverride()
    .configureHelp({ showGlobalOptions: false });

  newCommand(program, run);
  pageCommands(program, run);
  deliveryCommands(program, run);
  roundCommands(program, run);
  lookingCommands(program, run);
  daemonCommands(program, run);
  queueCommands(program, run);
  return program;
}

function newCommand(program: Command, run: Actions): void {
  command(program, 'new', 'Make a job folder: a commented job.yaml and the folders beside it')
    .argument('<folder>', 'folder to make')
    .option('--issue <code>', 'issue code as file names carry it, such as TDL03')
    .option('--title <title>', 'title of the comic')
    .option('--pages <number>', 'number of interior pages', count)
    .action((folder, options) => run.create(folder, options));
  example(program, 'platehand new tdl03 --issue TDL03 --title "The Drowned Lighthouse" --pages 22');
}

/** What is done page by page. */
function pageCommands(program: Command, run: Actions): void {
  folderCommand(program, 'check', 'Match and inspect the pages; write nothing but the report')
    .option('--pages <choice>', 'pages to inspect, such as 3-5,cover (default: all)')
    .option('--report <file>', 'also write the report to this file, as JSON')
    .action((folder, options) => run.check(folder, options));
  example(program, 'platehand check tdl03 --report check.json');

  folderCommand(
    program,
    'run',
    'Prepare the pages: PDF/X, press files, plates, proofs, contact sheet and report',
  )
    .option('--pages <choice>', 'pages to work on, such as 3-5,cover (default: all)')
    .addOption(new Option('--only <what>', 'make only this').choices([...onlyChoices]))
    .action((folder, options) => run.run(folder, options));
  example(program, 'platehand run tdl03 --pages 3-5,cover --only press --jobs 2');

  folderCommand(program, 'proof', 'Make only the proofs, the contact sheet and the report')
    .option('--pages <choice>', 'pages to work on, such as 3-5,cover (default: all)')
    .option('--clean', "leave out the numbered boxes of findings and the pins of editors' notes")
    .option(
      '--seen-as <eyes>',
      'also show proofs and contact sheet as other eyes see them: grey, protanopia, deuteranopia, tritanopia (with commas)',
    )
    .action((folder, options) => run.proof(folder, options));
  example(program, 'platehand proof tdl03 --clean', 'platehand proof tdl03 --seen-as grey,deuteranopia');
}

/** What leaves the house, and whether it may. */
function deliveryCommands(program: Command, run: Actions): void {
  const deliver = folderCommand(
    program,
    'deliver',
    'Run, then pack one verified bundle, unless pages are open',
  )
    .option('--partial', 'deliver without the pages that are not ready (needs --reason)')
    .option('--reason <why>', 'why a partial delivery goes out; recorded in the bundle')
    .option('--pages <choice>', 'deliver these corrected pages only, such as 3,9, as a supplement')
    .option(
      '--earlier <choice>',
      'pages that go out in the version before where the newest cannot be printed, such as 3',
    )
    .option(
      '--date <day>',
      'day of delivery, such as 2026-11-20 (default: today, in the time zone of the job)',
    );
  byQueue(deliver, 'leave pages and packing to workers').action((folder, options) =>
    run.deliver(folder, options),
  );
  moreHelp(
    program,
    `
Deliveries are numbered: delivery/TDL03-1.zip, TDL03-2.zip, ... (delivery: naming in job.yaml). Each says what has changed since the
one before and which it replaces. Where the newest holds the same pages already, none is made; none is ever overwritten.`,
  );
  example(
    program,
    'platehand deliver tdl03 --partial --reason "page 9 follows on Friday"',
    'platehand deliver tdl03 --pages 3,9',
  );
}

/** What an editor reviews, and what has changed since. */
function roundCommands(program: Command, run: Actions): void {
  folderCommand(
    program,
    'round',
    'Run, then freeze what is there as the next review round, for an editor',
  ).action((folder, options) => run.round(folder, options));
  moreHelp(
    program,
    `
Rounds are numbered: rounds/1, rounds/2, ... Each holds proofs.pdf to mail (all proofs as facing pages), contact-sheet.png, on which
unchanged pages are grey, notes.csv and notes.yaml to fill in, and the press files by which later versions are compared. None is ever
overwritten. A soft proof is not a contract proof.`,
  );
  example(program, 'platehand round tdl03');

  folderCommand(program, 'compare', 'Run, then show what has changed since a review round or a delivery')
    .option('--pages <choice>', 'pages to compare, such as 3-5,cover (default: all)')
    .option('--round <number>', 'compare with this round (default: the last)', count)
    .option('--delivery <number>', 'compare with what had gone out with this delivery', count)
    .action((folder, options) => run.compare(folder, options));
  moreHelp(
    program,
    `
Equal pixels are unchanged, whatever file they came in. Of each page that changed: colour apart from line, share of the page, CIEDE2000,
places, and a picture in rounds/changes/.`,
  );
  example(program, 'platehand compare tdl03 --round 1', 'platehand compare tdl03 --delivery 2 --pages 3,9');
}

/** What went out, and where the issue stands. */
function lookingCommands(program: Command, run: Actions): void {
  command(program, 'verify', 'Check a bundle, or any BagIt bag, against its manifests')
    .argument('[bag]', 'ZIP file or folder')
    .option(
      '--against <bags...>',
      'hold several deliveries of an issue against each other: whether they make it whole, and which page is whose',
    )
    .action((bag, options) => run.verify(bag, options));
  example(
    program,
    'platehand verify tdl03/delivery/TDL03-1.zip',
    'platehand verify --against TDL03-1.zip TDL03-2-supplement.zip',
  );

  command(program, 'status', 'Show where the issue stands: the page board and what blocks the delivery')
    .argument('[folder]', 'job folder', '.')
    .action((folder, options) => run.status(folder, options));
  example(program, 'platehand status tdl03');
  moreHelp(program, stateMeanings);
}

/** What goes on over days. */
function daemonCommands(program: Command, run: Actions): void {
  watchCommand(program)
    .option(
      '--on-event <program>',
      'run this program for each event, with one JSON event on its standard input',
    )
    .option('--log-json', 'log one JSON object a line instead of text')
    .action((folders, options) => run.watch(folders, options));
  example(program, 'platehand watch tdl03 qry02 --poll 5 --on-event ./tell-the-chat');

  command(program, 'pause', 'Let the daemon of a folder begin no more pages, until it is resumed')
    .argument('[folder]', 'job folder', '.')
    .option('--queue <url>', 'pause a queue instead, for all folders and workers')
    .action((folder, options) => run.pause(folder, options));
  example(program, 'platehand pause tdl03', 'platehand pause --queue redis://studio1');

  command(program, 'resume', 'Let the daemon of a paused folder go on')
    .argument('[folder]', 'job folder', '.')
    .option('--queue <url>', 'let a paused queue go on')
    .action((folder, options) => run.resume(folder, options));
  example(program, 'platehand resume tdl03');
}

/** What several machines do together. */
function queueCommands(program: Command, run: Actions): void {
  sharedFiles(
    program
      .command('work')
      .description('Prepare pages that daemons put on a queue (watch --queue), until ended')
      .requiredOption('--queue <url>', queueMeaning),
  )
    .addOption(jobs())
    .option(
      '--claim <seconds>',
      'a page is begun anew by another worker when its worker was silent for this long (default: 30, at least 1)',
      seconds,
    )
    .option('--cache-size <gigabytes>', 'the most that the cache may take (default: 20)', count)
    .option('--log-json', 'log one JSON object a line instead of text')
    .action((options) => run.work(options));
  example(program, 'platehand work --queue redis://studio1 --store /mnt/pages');

  command(program, 'workers', 'Show who works on the pages of a queue, what waits, and what came to nothing')
    .requiredOption('--queue <url>', queueMeaning)
    .option(
      '--metrics <where>',
      'serve the same as OpenMetrics text until ended, at this port or host:port (default host: 127.0.0.1)',
    )
    .action((options) => run.workers(options));
  example(program, 'platehand workers --queue redis://studio1 --metrics 9464');
}

/** Watching goes on until it is ended, so it has a log instead of one outcome. */
function watchCommand(program: Command): Command {
  const declared = program
    .command('watch')
    .description('Keep press files, proofs and report current as pages are dropped, until ended')
    .argument('<folder...>', 'job folders')
    .option(
      '--settle <seconds>',
      'a file is whole when it has not changed for this long (default: 2)',
      seconds,
    )
    .option(
      '--grace <seconds>',
      'how long a file that cannot be read to its end is waited for (default: 30)',
      seconds,
    )
    .option(
      '--rescan <seconds>',
      'look at everything this often, with or without events (default: 60)',
      seconds,
    )
    .option('--poll <seconds>', 'look this often instead of relying on events: for network shares', seconds)
    .addOption(jobs());
  return byQueue(declared, 'put the pages on a queue for workers');
}

/** Whether this file is what Node was started with, also through the link that npm makes for `platehand`. */
function isMain(): boolean {
  const started = process.argv[1];
  return started !== undefined && import.meta.url === pathToFileURL(realpathSync(started)).href;
}

async function start(): Promise<void> {
  const { runCli } = await import('./watch/commands/run-cli.js');
  process.exitCode = await runCli(buildProgram(), process.argv);
}

if (isMain()) void start();
