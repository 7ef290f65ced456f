/** What programs may build on, and what the command line does its work with. */
export { type ExitCode, exitCode, PlatehandError } from '../config/errors.js';
export type { IssuePage, Job } from '../config/job.js';
export { JobInvalidError, type JobProblem } from '../config/job-file/job-problem.js';
export { createJobFolder } from '../config/job-file/job-template.js';
export { loadJob, parseJob } from '../config/load-job.js';
export {
  type DeliverOptions,
  type Delivery,
  deliver,
  IncompleteIssueError,
} from './deliver.js';
export { type Finding, type Severity, worstOf } from './findings.js';
export { defaultJobs, type RunEvent, type RunOptions, runIssue } from './issue.js';
export { listIncoming } from './names/incoming.js';
export { selectPages } from './names/select-pages.js';
export type { OutputFile, PageMeasures, PageResult, Product } from './page-result.js';
export { reconcile } from './reconcile.js';
export type { Reconciliation } from './reconciliation.js';
export {
  exitCodeOf,
  type IssueReport,
  type PageReport,
  type PageReportState,
} from './report/issue-report.js';
export { type IssueStatus, readStatus } from './status.js';
export { type VerifyReport, verifyBag } from './verify.js';
