import { spawn } from 'node:child_process';
import { once } from 'node:events';

/** What `npm run build` does one after the other; neither needs the other. */
const steps = ['kernels', 'javascript'] as const;

/** Compiles the project before the tests, because page workers and the command line run as their own processes. */
export async function setup(): Promise<void> {
  await Promise.all(
    steps.map(async (step) => {
      const isWindows = process.platform === 'win32';
      const built = spawn('npm', ['run', '--silent', step], { stdio: 'inherit', shell: isWindows });
      const [code] = await once(built, 'exit');
      if (code !== 0) throw new Error(`npm run ${step} ended with exit code ${code}`);
    }),
  );
}
