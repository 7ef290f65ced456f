import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['test/**/*.test.ts'],
    globalSetup: ['test/helpers/build-once.ts'],
    // Pages are large: one image test can take many seconds on a busy two-core machine.
    testTimeout: 120_000,
    hookTimeout: 120_000,
    maxWorkers: 2,
    coverage: {
      provider: 'v8',
      // What runs in processes of its own is started from dist/, where nobody counts: those lines show as not covered.
      include: ['cli.ts', 'config/**/*.ts', 'pipeline/**/*.ts', 'watch/**/*.ts', 'sample-job/**/*.ts'],
      exclude: ['pipeline/kernels/assembly/**', '**/*.d.ts'],
      reporter: ['text-summary', 'html'],
    },
  },
});
