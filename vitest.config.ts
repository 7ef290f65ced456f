import { readdirSync, readFileSync } from 'node:fs';
import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/**
 * The longest files, the longest first, so that none of them is begun when the others have ended. Without this, files go by their
 * size where no earlier run tells what they take. A daemon is waited for, and pages are worked on: one of either kind beside the other
 * keeps both processors busy.
 */
const longest = [
  'watch/daemon/daemon',
  'pipeline/issue/run-issue',
  'pipeline/issue/make-page',
  'cli',
  'pipeline/line/ink-or-paint',
  'pipeline/register/measure-register',
  'reference/little-cms',
  'pipeline/black-meets-light',
  'pipeline/runner/runners',
  'pipeline/page/page-forms',
];

/**
 * Files of minutes, a command of their own (`npm run test:long`): whole evenings of a daemon and what goes wrong on them, folders that close
 * and open, issues of damaged files, of new versions, of each setting and of several runs at once, several machines on a queue, and the report in a browser, which is a system package.
 */
const long = [
  'test/watch/daemon/drops.test.ts',
  'test/watch/daemon/closed-folders.test.ts',
  'test/watch/daemon/daemon-trouble.test.ts',
  'test/pipeline/issue/closed-incoming.test.ts',
  'test/pipeline/issue/damaged-issue.test.ts',
  'test/pipeline/issue/settings.test.ts',
  'test/pipeline/issue/side-by-side.test.ts',
  'test/pipeline/issue/versions.test.ts',
  'test/pipeline/page/exact-size.test.ts',
  'test/reference/report-in-browser.test.ts',
  'test/watch/worker/several-machines.test.ts',
];

/** Files that replace modules: what others have loaded already cannot be replaced, so these have a process each. */
const replacing = readdirSync('test', { recursive: true, encoding: 'utf8' })
  .map((name) => `test/${name.replaceAll('\\', '/')}`)
  .filter((name) => name.endsWith('.test.ts') && !long.includes(name))
  .filter((name) => readFileSync(name, 'utf8').includes('vi.mock('));

/** Those with a process each go last: one between two others would end the process that these share. */
function rankOf({ moduleId, project }: TestSpecification): number {
  if (project.config.isolate) return longest.length + 1;
  const rank = longest.findIndex((name) => moduleId.endsWith(`test/${name}.test.ts`));
  return rank < 0 ? longest.length : rank;
}

class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    return (await super.sort(files)).toSorted((one, other) => rankOf(one) - rankOf(other));
  }
}

export default defineConfig({
  test: {
    globalSetup: ['test/helpers/build-once.ts'],
    setupFiles: ['test/helpers/quick-equality.ts'],
    // Pages are large: one image test can take many seconds on a busy two-core machine.
    testTimeout: 120_000,
    hookTimeout: 120_000,
    maxWorkers: 2,
    // Pixels lie outside the engine's heap: with the usual start of a few MB it looks through its heap for them all the time, and
    // that takes a tenth of the processor time.
    execArgv: ['--initial-heap-size=300'],
    sequence: { sequencer: LongestFirst },
    projects: [
      {
        extends: true,
        test: {
          name: 'together',
          include: ['test/**/*.test.ts'],
          exclude: [...replacing, ...long],
          // Files that follow each other in one process share its modules, compiled code and device links: a quarter of the
          // processor time. A test that changes what others see (the environment, the clock) has to put it back.
          isolate: false,
        },
      },
      { extends: true, test: { name: 'apart', include: replacing, isolate: true } },
      { extends: true, test: { name: 'long', include: long, isolate: true } },
    ],
    coverage: {
      provider: 'v8',
      // What runs in processes of its own is started from dist/, where nobody counts: those lines show as not covered.
      include: ['cli.ts', 'config/**/*.ts', 'pipeline/**/*.ts', 'watch/**/*.ts', 'sample-job/**/*.ts'],
      exclude: ['pipeline/kernels/assembly/**', '**/*.d.ts'],
      reporter: ['text-summary', 'html'],
    },
  },
});
