import { execFileSync } from 'node:child_process';

/** Compiles the project before the tests, because page workers and the command line run as their own processes. */
export function setup(): void {
  execFileSync('npm', ['run', '--silent', 'build'], {
    stdio: 'inherit',
    shell: process.platform === 'win32',
  });
}
