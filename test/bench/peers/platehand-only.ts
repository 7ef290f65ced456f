import { resolve } from 'node:path';
import { exitCodeOf, loadJob, runIssue } from '../../../pipeline/index.js';

/**
 * platehand as a program calls it that wants press files, plates and proofs alone, which `run --only` cannot name together.
 * usage: node platehand-only.js JOB_FOLDER
 */
const [folder] = process.argv.slice(2);
const report = await runIssue(await loadJob(resolve(folder)), { products: ['press', 'plates', 'proof'] });
process.exitCode = exitCodeOf(report);
