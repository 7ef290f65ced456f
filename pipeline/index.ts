/** What programs may build on, and what the command line does its work with. */
export { type ExitCode, exitCode, PlatehandError } from '../config/errors.js';
export type { IssuePage, Job } from '../config/job.js';
export { createJobFolder } from '../config/job-file/job-folder.js';
export { JobInvalidError, type JobProblem } from '../config/job-file/job-problem.js';
export { loadJob, parseJob } from '../config/load-job.js';
export { type DeliverOptions, type Delivery, deliver } from './bag/deliver.js';
export { type DeliveryShelf, type PastDelivery, readShelf as readDeliveries } from './bag/delivery-shelf.js';
export { IncompleteIssueError } from './bag/refusals.js';
export { type VerifyReport, verifyBag } from './bag/verify.js';
export { type SetMember, type SetReport, verifySet } from './bag/verify-set.js';
export { drawFlatsReport, type FlatsReportWords } from './flats-report.js';
export { type ArrivedPart, type InspectedFlats, inspectFlats } from './inspect-flats.js';
export {
  exitCodeOf,
  type IssueReport,
  type PageReport,
  type PageReportState,
} from './issue/report.js';
export { type RunEvent, type RunOptions, runIssue } from './issue/run-issue.js';
export { type SeenAs, type SeeOptions, seeProofs } from './issue/seen-as.js';
export { type IssueStatus, readStatus } from './issue/status.js';
export { type MeasuredPages, scenePalettes } from './issue/story.js';
export { swatchesInPrint, swatchesOnPages } from './issue/swatch-update.js';
export { type Finding, type Severity, worstOf } from './model/findings.js';
export type { OutputFile, PageMeasures, PageResult, ProductName } from './model/page-result.js';
export type { PagePalette, StoryColours } from './model/palette.js';
export type { Reconciliation } from './model/reconciliation.js';
export { listIncoming } from './names/incoming.js';
export { selectPages } from './names/select-pages.js';
export { type Eyes, otherEyes } from './palette/colour-vision.js';
export type { PrintedColour, PrintedSwatch } from './palette/swatch-print.js';
export type { Sighting } from './palette/swatch-sightings.js';
export { reconcile } from './reconcile.js';
export {
  type ComparedPage,
  type CompareIssueOptions,
  compareIssue,
  type IssueComparison,
} from './review/compare-issue.js';
export { type FreezeOptions, type FrozenRound, freezeRound } from './review/freeze-round.js';
export type { PageComparison } from './rounds/compare-page.js';
export { type RoundRecord, readRounds } from './rounds/round-record.js';
export { defaultJobs } from './runner/page-cost.js';
