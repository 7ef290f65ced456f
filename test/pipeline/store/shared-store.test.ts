import { basename, join } from 'node:path';
import { afterAll, beforeAll } from 'vitest';
import { objectOf } from '../../../pipeline/store/object-names.js';
import { openSharedStore } from '../../../pipeline/store/open-shared-store.js';
import { type BucketServer, startBucketServer } from '../../helpers/s3-server.js';
import { describeStore, type Harm, harmInFolder } from '../../helpers/store-conformance.js';

let server: BucketServer;
beforeAll(async () => {
  server = await startBucketServer();
});
afterAll(() => server.close());

/** Harms what the store keeps as well as the copy here. */
const harmBoth =
  (pathOf: (job: string, name: string) => string): Harm =>
  async (job, stored, output, deed) => {
    await harmInFolder(job, stored, output, deed);
    await deed(pathOf(job, objectOf(output)));
  };

describeStore(
  'a shared folder',
  (job) => openSharedStore(join(job, 'store'), { cacheFolder: join(job, 'cache') }),
  harmBoth((job, name) => join(job, 'store', name)),
);

const bucketOf = (job: string) => `s3://pages/${basename(job)}`;
describeStore(
  'a bucket',
  (job) => openSharedStore(bucketOf(job), { cacheFolder: join(job, 'cache') }),
  harmBoth((job, name) => server.pathOf(bucketOf(job), name)),
);
