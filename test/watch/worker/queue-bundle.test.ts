import { createHash } from 'node:crypto';
import { mkdir, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import type { BundleContent } from '../../../pipeline/bag/bag-entries.js';
import { type PackBag, writeBundle } from '../../../pipeline/bag/bundle.js';
import { ownEngine } from '../../../pipeline/queue/queue-names.js';
import type { QueueRunner } from '../../../pipeline/queue/queue-runner.js';
import { readQueue } from '../../../pipeline/queue/read-queue.js';
import { inProcessRunner } from '../../../pipeline/runner/in-process.js';
import { openQueueRoom, type QueueRoom } from '../../helpers/queue-room.js';
import { type RedisServer, redisMissing, startRedis } from '../../helpers/redis-server.js';

const sumOf = (bytes: Uint8Array | string) => createHash('sha256').update(bytes).digest('hex');

describe.skipIf(redisMissing !== undefined)(
  `a bundle on a queue${redisMissing ? ` (${redisMissing})` : ''}`,
  () => {
    let redis: RedisServer;
    let room: QueueRoom;
    let folder: string;
    let content: BundleContent;
    beforeAll(async () => {
      redis = await startRedis();
      folder = await mkdtemp(join(tmpdir(), 'queue-bundle-'));
      content = await drawnContent();
    });
    afterAll(async () => {
      await redis.remove();
      await rm(folder, { recursive: true });
    });
    beforeEach(async () => {
      room = await openQueueRoom(redis.url);
      await (await room.link()).redis.flushall();
      await rm(join(folder, 'delivery'), { recursive: true, force: true });
      await mkdir(join(folder, 'delivery'));
    });
    afterEach(() => room.close());

    const drawnContent = async (): Promise<BundleContent> => {
      const page = Buffer.alloc(200_000, 'QRY02 page 7 ');
      const path = join(folder, 'page.tif');
      await writeFile(path, page);
      return {
        name: 'QRY02-1',
        day: '2026-11-29',
        files: [
          { path: 'press/QRY02_7.tif', source: { file: path }, sha256: sumOf(page) },
          { path: 'press/QRY02_8.tif', source: { file: path }, sha256: sumOf(page) },
          { path: 'delivery.json', source: { bytes: Buffer.from('{"pages":2}') } },
          { path: 'nothing.txt', source: { bytes: Buffer.alloc(0) } },
        ],
        info: [['Source-Organization', 'Quarry Press']],
        sheet: async (manifest) => Buffer.from(`%PDF ${manifest}`),
      };
    };
    const packedBy =
      (runner: QueueRunner): PackBag =>
      (bag, partPath) =>
        runner.packBag('QRY02', bag, partPath);
    const target = (name: string) => join(folder, 'delivery', name);
    const here = async () => {
      const { sha256 } = await writeBundle(target('here.zip'), content);
      return { sha256, bytes: await readFile(target('here.zip')) };
    };
    const objectOf = (sha256: string) => join(room.store, 'objects', sha256.slice(0, 2), sha256);
    const inDelivery = async () => (await readdir(join(folder, 'delivery'))).sort();

    test('is the one that this machine would pack, byte for byte, and counts as no page', async () => {
      const watcher = await room.watcher();
      const worker = await room.worker(inProcessRunner());
      const packed = await writeBundle(target('QRY02-1.zip'), content, { pack: packedBy(watcher) });
      const own = await here();
      expect(packed).toMatchObject({ sha256: own.sha256, bytes: own.bytes.length, verified: { ok: true } });
      expect(Buffer.compare(await readFile(target('QRY02-1.zip')), own.bytes)).toBe(0);
      expect(worker.events).toMatchObject([{ kind: 'made', issue: 'QRY02', page: 'the bundle' }]);
      expect((await readQueue(await room.link())).workers[0]).toMatchObject({ made: 0, failed: 0 });
    });

    test('comes out where the store has lost a file of it, or the ZIP itself', async () => {
      const watcher = await room.watcher();
      await room.worker(inProcessRunner());
      const first = await writeBundle(target('a.zip'), content, { pack: packedBy(watcher) });
      await rm(objectOf(first.sha256));
      await rm(objectOf(first.files.find(({ path }) => path.endsWith('7.tif'))?.sha256 ?? ''));
      const another = packedBy(await room.watcher('another'));
      const again = await writeBundle(target('b.zip'), content, { pack: another });
      expect(again.sha256).toBe(first.sha256);
    });

    test('of a file that is another by now is refused, and nothing is left', async () => {
      const watcher = await room.watcher();
      await room.worker(inProcessRunner());
      const path = join(folder, 'edited.tif');
      await writeFile(path, 'edited by hand');
      const edited = { path: 'press/QRY02_9.tif', source: { file: path }, sha256: sumOf('as it was made') };
      const wrong = { ...content, files: [...content.files, edited] };
      await expect(
        writeBundle(target('QRY02-1.zip'), wrong, { pack: packedBy(watcher) }),
      ).rejects.toMatchObject({
        code: 'bundle-failed',
        message: expect.stringMatching(/press\/QRY02_9\.tif is not as it was when it was made/),
      });
      expect(await inDelivery()).toEqual([]);
    });

    test('that is not the one that was asked for is refused, however sound it is', async () => {
      const watcher = await room.watcher();
      // Somebody who can write to queue and store says that another bag, whole in itself, is the one.
      const other = { ...content, files: content.files.slice(1) };
      const lie = await writeBundle(target('other.zip'), other);
      const store = await room.openStore();
      await store.putInput(target('other.zip'), lie);
      const link = await room.link();
      const queue = link.openQueue(ownEngine);
      const packing = writeBundle(target('QRY02-1.zip'), content, { pack: packedBy(watcher) });
      const worker = new link.library.Worker(
        queue.name,
        async () => ({ worker: 'liar', zip: { sha256: lie.sha256, bytes: lie.bytes } }),
        { connection: link.connection, prefix: queue.opts.prefix ?? '' },
      );
      await expect(packing).rejects.toMatchObject({ code: 'bundle-failed' });
      await worker.close();
      await queue.close();
      expect(await inDelivery()).toEqual(['other.zip']);
    });
  },
);
