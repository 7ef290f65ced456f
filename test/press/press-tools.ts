import { execFile } from 'node:child_process';
import { promisify } from 'node:util';

/** The programs that PDF pages are held against. */

const run = promisify(execFile);

/** More than any of them says. */
const mostSaidBytes = 16 * 1024 * 1024;

/** How each is asked whether it is there. */
const tools = { gs: ['--version'], qpdf: ['--version'], pdfinfo: ['-v'] } as const;

/** Names of those that are not installed. */
export async function missingTools(): Promise<string[]> {
  const names = Object.keys(tools) as (keyof typeof tools)[];
  const there = await Promise.all(
    names.map((name) =>
      run(name, [...tools[name]]).then(
        () => true,
        () => false,
      ),
    ),
  );
  return names.filter((_, at) => !there[at]);
}

/** Runs a program. @returns its exit code, and all that it says */
export async function told(name: string, args: readonly string[]): Promise<{ code: number; said: string }> {
  try {
    const { stdout, stderr } = await run(name, [...args], { maxBuffer: mostSaidBytes });
    return { code: 0, said: stdout + stderr };
  } catch (thrown) {
    const { code, stdout = '', stderr = '' } = thrown as { code?: number; stdout?: string; stderr?: string };
    return { code: typeof code === 'number' ? code : -1, said: stdout + stderr };
  }
}

/** Runs Ghostscript without a word from it. @throws Error with what it says where it fails */
export async function ghostscript(args: readonly string[]): Promise<void> {
  const { code, said } = await told('gs', ['-q', '-dNOPAUSE', '-dBATCH', '-dSAFER', ...args]);
  if (code !== 0 || said.trim() !== '') throw new Error(`Ghostscript (${code}): ${said}`);
}
