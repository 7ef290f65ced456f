import { PageArena } from '../../pipeline/kernels/page-arena.js';
import { preparePage } from '../../pipeline/page/page.js';
import type { PageRunner } from '../../pipeline/runner/page-runner.js';

let last: Promise<unknown> = Promise.resolve();

const arena = new PageArena();

/** Prepares pages in this process, one after the other: all of them work in one arena. */
export const pagesHere: PageRunner = {
  run(request) {
    const page = last.then(() => preparePage(request, arena));
    last = page.catch(() => undefined);
    return page;
  },
  close: async () => undefined,
};
