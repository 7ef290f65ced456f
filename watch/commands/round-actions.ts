import { allVisible } from '../../config/visible-text.js';
import {
  compareIssue,
  exitCode,
  exitCodeOf,
  freezeRound,
  PlatehandError,
  selectPages,
} from '../../pipeline/index.js';
import { noteRun } from './command-notes.js';
import { openForWork, say, type Work, workOptions } from './command-work.js';
import { paintFor } from './report-text.js';
import { comparisonText, roundText } from './round-text.js';

/** What the commands about review rounds do. */
export interface RoundActions {
  round(folder: string, options: Omit<Work, 'pages'>): Promise<void>;
  compare(folder: string, options: Work & { round?: number; delivery?: number }): Promise<void>;
}

export const roundActions: RoundActions = {
  async round(folder, options) {
    const job = await openForWork(folder);
    const frozen = await freezeRound(job, workOptions(job, options));
    await noteRun(job.folder, frozen.report);
    const { report, ...round } = frozen;
    say('round', exitCodeOf(report), options.json, { ...round, issue: job.issue }, () =>
      roundText(allVisible(frozen), paintFor(process.stdout)),
    );
  },

  async compare(folder, options) {
    const { round, delivery } = options;
    if (round !== undefined && delivery !== undefined) throw eitherOr();
    const job = await openForWork(folder);
    const since = {
      ...(round === undefined ? {} : { round }),
      ...(delivery === undefined ? {} : { delivery }),
    };
    const pages = options.pages === undefined ? {} : { pages: selectPages(job, options.pages) };
    const compared = await compareIssue(job, { ...workOptions(job, options), ...pages, ...since });
    await noteRun(job.folder, compared.report);
    const { report, ...facts } = compared;
    const isTold = compared.pages.every(({ verdict }) => verdict !== 'unknown');
    const code = isTold ? exitCode.done : exitCode.attention;
    say('compare', code, options.json, { ...facts, issue: report.issue }, () =>
      comparisonText(allVisible(compared), paintFor(process.stdout)),
    );
  },
};

function eitherOr(): PlatehandError {
  return new PlatehandError(
    'wrong-use',
    'Pages are compared with a round or with a delivery, not with both',
    'Leave out --round or --delivery.',
  );
}
