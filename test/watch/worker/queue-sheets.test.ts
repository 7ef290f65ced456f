import { createHash } from 'node:crypto';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import type { SheetRequest } from '../../../pipeline/model/sheet-request.js';
import { sheetPicture } from '../../../pipeline/outputs/sheet-picture.js';
import { ownEngine } from '../../../pipeline/queue/queue-names.js';
import { pauseQueue, readQueue } from '../../../pipeline/queue/read-queue.js';
import { inProcessRunner } from '../../../pipeline/runner/in-process.js';
import { openQueueRoom, type QueueRoom } from '../../helpers/queue-room.js';
import { type RedisServer, redisMissing, startRedis } from '../../helpers/redis-server.js';

describe.skipIf(redisMissing !== undefined)(
  `a contact sheet on a queue${redisMissing ? ` (${redisMissing})` : ''}`,
  () => {
    let redis: RedisServer;
    let room: QueueRoom;
    let folder: string;
    let sheet: SheetRequest;
    beforeAll(async () => {
      redis = await startRedis();
      folder = await mkdtemp(join(tmpdir(), 'queue-sheets-'));
      sheet = { ...heading, pages: await Promise.all([200, 90].map(drawnPage)) };
    });
    afterAll(async () => {
      await redis.remove();
      await rm(folder, { recursive: true });
    });
    beforeEach(async () => {
      room = await openQueueRoom(redis.url);
      await (await room.link()).redis.flushall();
    });
    afterEach(() => room.close());

    const heading = {
      issue: 'QRY02',
      title: 'The Quarry Bells',
      condition: 'cgats-tr006',
      scenes: [{ id: 'quarry', title: 'The quarry' }],
      summary: '2 pages done',
    };
    const drawnPage = async (grey: number, at: number): Promise<SheetRequest['pages'][number]> => {
      const path = join(folder, `${grey}.png`);
      const create = { width: 60, height: 90, channels: 3 as const, background: { r: grey, g: 40, b: 80 } };
      const png = await sharp({ create }).png().toBuffer();
      await writeFile(path, png);
      const sha256 = createHash('sha256').update(png).digest('hex');
      return {
        id: `${at + 1}`,
        label: `${at + 1}`,
        scene: 'quarry',
        sceneTitle: undefined,
        kind: 'interior',
        numbers: [at + 1],
        isSpread: false,
        aspect: 2 / 3,
        state: 'done',
        note: undefined,
        thumbnail: { sha256, path },
      };
    };
    const waitingWork = async () =>
      (await readQueue(await room.link())).engines.find(({ engine }) => engine === ownEngine)?.waiting ?? 0;
    const until = (isSo: () => Promise<boolean>) => expect.poll(isSo, { timeout: 15_000 }).toBe(true);

    test('is the picture that this machine would draw, and what was drawn counts as no page', async () => {
      const watcher = await room.watcher();
      const worker = await room.worker(inProcessRunner());
      const png = await watcher.drawSheet(sheet);
      expect(Buffer.compare(Buffer.from(png), Buffer.from(await sheetPicture(sheet)))).toBe(0);
      expect(worker.events).toMatchObject([{ kind: 'made', issue: 'QRY02', page: 'contact sheet' }]);
      expect((await readQueue(await room.link())).workers[0]).toMatchObject({ made: 0, failed: 0 });
    });

    test('is drawn once for two daemons', async () => {
      const [one, other] = [await room.watcher('one'), await room.watcher('other')];
      const worker = await room.worker(inProcessRunner());
      const [first, second] = await Promise.all([one.drawSheet(sheet), other.drawSheet(sheet)]);
      expect(Buffer.compare(Buffer.from(first), Buffer.from(second))).toBe(0);
      expect(worker.events).toHaveLength(1);
    });

    test('leaves the queue with whoever gives it up', async () => {
      const watcher = await room.watcher();
      await pauseQueue(await room.link(), true);
      const giving = new AbortController();
      const given = watcher.drawSheet(sheet, giving.signal).catch(() => 'given up');
      await until(async () => (await waitingWork()) === 1);
      giving.abort();
      expect(await given).toBe('given up');
      await until(async () => (await waitingWork()) === 0);
    });

    test('comes out where the store has lost a thumbnail, or the picture itself', async () => {
      const watcher = await room.watcher();
      await room.worker(inProcessRunner());
      const lost = sheet.pages[0].thumbnail?.sha256 ?? '';
      const png = await watcher.drawSheet(sheet);
      const objectOf = (sha256: string) => join(room.store, 'objects', sha256.slice(0, 2), sha256);
      await rm(objectOf(lost));
      await rm(objectOf(createHash('sha256').update(png).digest('hex')));
      // Another machine, whose cache has neither.
      const again = await (await room.watcher('another')).drawSheet(sheet);
      expect(Buffer.compare(Buffer.from(png), Buffer.from(again))).toBe(0);
      expect(await readFile(objectOf(lost))).toHaveLength((await readFile(join(folder, '200.png'))).length);
    });

    test('is refused where it is more than the queue takes, and nothing waits', async () => {
      const watcher = await room.watcher();
      const page = { ...sheet.pages[0], note: 'x'.repeat(5000) };
      await expect(watcher.drawSheet({ ...sheet, pages: [page] })).rejects.toMatchObject({
        code: 'queue-refused',
      });
      expect(await waitingWork()).toBe(0);
    });

    test('that is none is refused by the worker, and pages and sheets go on', async () => {
      const watcher = await room.watcher();
      await room.worker(inProcessRunner());
      const queue = (await room.link()).openQueue(ownEngine);
      for (const [at, data] of [
        { sheet: 7 },
        { sheet: { ...heading, pages: [{ thumbnail: '/etc/passwd' }] } },
      ].entries())
        await queue.add('sheet', { engine: ownEngine, ...data }, { jobId: `hostile-${at}` });
      await until(async () => (await queue.getFailedCount()) === 2);
      await queue.close();
      expect(await watcher.drawSheet(sheet)).toBeInstanceOf(Uint8Array);
    });
  },
);
