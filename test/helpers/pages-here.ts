import { inProcessRunner } from '../../pipeline/runner/in-process.js';

/** Prepares pages in this process, one after the other, for tests that are not about page processes. */
export const pagesHere = inProcessRunner();
