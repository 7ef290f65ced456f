import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Why tests through a queue are skipped here; undefined where they run. */
export const redisMissing =
  spawnSync('redis-server', ['--version']).status === 0
    ? undefined
    : 'redis-server is not installed (Debian: apt-get install redis-server)';

/** A Redis server of a test's own, on a free port of this machine. */
export interface RedisServer {
  /** URL for `--queue`. */
  readonly url: string;
  readonly port: number;
  /** Ends it, and waits for that. */
  stop(signal?: NodeJS.Signals): Promise<void>;
  /** Starts it again on the same port, with what it has kept. */
  start(): Promise<void>;
  /** Ends it, and removes what it has kept. */
  remove(): Promise<void>;
}

/**
 * Starts a server, and waits until it answers.
 * @param settings in its own words, such as `--requirepass`; by default it keeps what it holds (append only, every second)
 */
export async function startRedis(
  settings: readonly string[] = ['--appendonly', 'yes'],
): Promise<RedisServer> {
  const folder = await mkdtemp(join(tmpdir(), 'redis-'));
  const port = await freePort();
  const words = ['--port', String(port), '--bind', '127.0.0.1', '--dir', folder, '--save', '', ...settings];
  let child: ChildProcess | undefined;
  const stop = async (signal: NodeJS.Signals = 'SIGTERM') => {
    const running = child;
    child = undefined;
    if (running === undefined || running.exitCode !== null) return;
    const ended = new Promise((resolve) => running.once('exit', resolve));
    running.kill(signal);
    await ended;
  };
  const start = async () => {
    const starting = spawn('redis-server', words, { stdio: ['ignore', 'pipe', 'inherit'] });
    child = starting;
    await new Promise<void>((resolve, reject) => {
      starting.stdout?.on('data', (text: Buffer) => {
        if (text.includes('Ready to accept connections')) resolve();
      });
      starting.once('exit', () => reject(new Error('redis-server ended before it was ready')));
    });
  };
  await start();
  const remove = async () => {
    await stop('SIGKILL');
    await rm(folder, { recursive: true, force: true });
  };
  return { url: `redis://127.0.0.1:${port}`, port, stop, start, remove };
}

/** A port that nobody listens at just now. */
export function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const server = createServer();
    server.once('error', reject);
    server.listen(0, '127.0.0.1', () => {
      const address = server.address();
      server.close(() => resolve(typeof address === 'object' && address !== null ? address.port : 0));
    });
  });
}
