import { spawnSync } from 'node:child_process';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { queueAddress } from '../../../pipeline/queue/queue-address.js';
import { openQueueLink } from '../../../pipeline/queue/queue-link.js';
import { readQueue } from '../../../pipeline/queue/read-queue.js';
import { freePort, type RedisServer, redisMissing, startRedis } from '../../helpers/redis-server.js';

const missing =
  redisMissing ??
  (spawnSync('openssl', ['version']).status === 0
    ? undefined
    : 'openssl is not installed (Debian: apt-get install openssl)');

describe.skipIf(missing !== undefined)(`an encrypted queue${missing ? ` (${missing})` : ''}`, () => {
  const password = 'gehe!m/@';
  let folder: string;
  let redis: RedisServer;
  let port: number;
  let plainPort: number;
  const file = (name: string) => join(folder, name);
  const openssl = (...words: string[]) => {
    const { status, stderr } = spawnSync('openssl', words, { cwd: folder, encoding: 'utf8' });
    if (status !== 0) throw new Error(stderr);
  };

  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'queue-tls-'));
    // A certificate authority as a studio would have one, and a server whose certificate it has signed.
    const fresh = ['-newkey', 'rsa:2048', '-nodes', '-days', '2'];
    openssl('req', '-x509', ...fresh, '-keyout', 'ca.key', '-out', 'ca.crt', '-subj', '/CN=studio');
    openssl('req', ...fresh.slice(0, 3), '-keyout', 'own.key', '-out', 'own.csr', '-subj', '/CN=localhost');
    await writeFile(file('names'), 'subjectAltName=DNS:localhost');
    const signed = [
      '-CA',
      'ca.crt',
      '-CAkey',
      'ca.key',
      '-CAcreateserial',
      '-days',
      '2',
      '-extfile',
      'names',
    ];
    openssl('x509', '-req', '-in', 'own.csr', ...signed, '-out', 'own.crt');
    port = await freePort();
    const keys = ['--tls-cert-file', file('own.crt'), '--tls-key-file', file('own.key')];
    const tls = [
      '--tls-port',
      String(port),
      ...keys,
      '--tls-ca-cert-file',
      file('ca.crt'),
      '--tls-auth-clients',
      'no',
    ];
    redis = await startRedis(['--appendonly', 'yes', '--requirepass', password, ...tls]);
    plainPort = redis.port;
  });
  afterAll(async () => {
    await redis.remove();
    await rm(folder, { recursive: true });
  });

  const opened = async (url: string, authority?: string) =>
    openQueueLink(
      await queueAddress(url, { PLATEHAND_QUEUE_PASSWORD: password, PLATEHAND_QUEUE_CA: authority }),
    );
  const refusal = async (url: string, authority?: string) => {
    try {
      await (await opened(url, authority)).close();
    } catch (thrown) {
      expect(thrown).toMatchObject({ code: 'queue-unreachable' });
      const { message, remedy } = thrown as { message: string; remedy: string };
      expect(`${message} ${remedy}`).not.toContain(password);
      return remedy;
    }
    return 'opened';
  };

  test('is read where its authority is known and the name is that of the certificate', async () => {
    const link = await opened(`rediss://localhost:${port}`, file('ca.crt'));
    expect((await readQueue(link)).queue).toBe(`rediss://localhost:${port}/0`);
    await link.close();
  });

  test('is refused otherwise, with what to do, and its password nowhere in it', async () => {
    expect(await refusal(`rediss://localhost:${port}`)).toContain('PLATEHAND_QUEUE_CA');
    expect(await refusal(`rediss://127.0.0.1:${port}`, file('ca.crt'))).toContain('as its certificate does');
    expect(await refusal(`redis://localhost:${port}`)).toContain('rediss:// where it is encrypted');
    expect(await refusal(`rediss://127.0.0.1:${plainPort}`)).toContain('redis:// where it is not');
  });
});
