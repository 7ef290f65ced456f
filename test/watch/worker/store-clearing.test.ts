import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { clearNowAndThen } from '../../../watch/worker/store-clearing.js';
import { openQueueRoom, type QueueRoom } from '../../helpers/queue-room.js';
import { type RedisServer, redisMissing, startRedis } from '../../helpers/redis-server.js';

describe.skipIf(redisMissing !== undefined)(
  `clearing a store of many workers${redisMissing ? ` (${redisMissing})` : ''}`,
  () => {
    let redis: RedisServer;
    let room: QueueRoom;
    beforeAll(async () => {
      redis = await startRedis();
    });
    afterAll(() => redis.remove());
    beforeEach(async () => {
      room = await openQueueRoom(redis.url);
      await (await room.link()).redis.flushall();
    });
    afterEach(() => room.close());

    /** What one worker does when it starts. @returns what it told */
    const started = async (address: string, sweep: () => Promise<number>): Promise<string[]> => {
      const told: string[] = [];
      const clearing = clearNowAndThen({ address, sweep }, await room.link(), (why) => told.push(why));
      await clearing.first;
      clearing.end();
      return told;
    };

    test('is done once a day by whoever comes first, store by store', async () => {
      const swept: string[] = [];
      const sweeping = (address: string) => () => Promise.resolve(swept.push(address));
      for (const address of ['/mnt/pages', '/mnt/pages', 's3://pages', '/mnt/pages'])
        expect(await started(address, sweeping(address))).toEqual([]);
      expect(swept).toEqual(['/mnt/pages', 's3://pages']);
    });

    test('is left to the next where it fails, and told', async () => {
      const full = () => Promise.reject(new Error('no route to the bucket'));
      expect(await started('s3://pages', full)).toEqual([
        'the store was not cleared: no route to the bucket',
      ]);
      let swept = 0;
      await started('s3://pages', () => Promise.resolve(++swept));
      expect(swept).toBe(1);
    });
  },
);
