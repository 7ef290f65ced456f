import { preparePage } from '../../pipeline/page/page.js';
import type { PageRunner } from '../../pipeline/runner/page-runner.js';

let last: Promise<unknown> = Promise.resolve();

/** Prepares pages in this process, one after the other: all of them work at its one desk. */
export const pagesHere: PageRunner = {
  run(request) {
    const page = last.then(() => preparePage(request));
    last = page.catch(() => undefined);
    return page;
  },
  close: async () => undefined,
};
