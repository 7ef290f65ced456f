import { mkdtemp, rm, utimes, writeFile } from 'node:fs/promises';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { openBucketObjects } from '../../../pipeline/store/bucket-objects.js';
import { sum } from '../../helpers/bags.js';
import { describeObjects, listed } from '../../helpers/object-store-conformance.js';
import {
  type BucketServer,
  environmentOf,
  startBucketServer,
  withEnvironment,
} from '../../helpers/s3-server.js';

let server: BucketServer;
beforeAll(async () => {
  server = await startBucketServer();
});
afterAll(() => server.close());

describeObjects('a bucket', async () => {
  const address = server.newAddress();
  const store = await openBucketObjects(address);
  return { store, pathOf: (name) => server.pathOf(address, name), end: async () => undefined };
});

/** Opens with another environment, which is put back. */
async function openWith(environment: Record<string, string | undefined>, address = server.newAddress()) {
  const putBack = withEnvironment(environment);
  try {
    return await openBucketObjects(address);
  } finally {
    putBack();
  }
}

/** A server that answers as it is told, and remembers what it was asked. */
async function answering(answer: (asked: IncomingMessage, response: ServerResponse) => void) {
  const asked: IncomingMessage[] = [];
  const http = createServer((request, response) => {
    asked.push(request);
    request.resume().on('end', () => answer(request, response));
  });
  await new Promise<void>((resolve) => http.listen(0, '127.0.0.1', resolve));
  const url = `http://127.0.0.1:${(http.address() as AddressInfo).port}`;
  const close = () => {
    http.closeAllConnections();
    http.close();
  };
  return { asked, environment: environmentOf(url), close };
}

const mark = '{"format":1}';
const isMark = ({ url = '' }: IncomingMessage) => url.includes('platehand-store.json');

describe('a bucket', () => {
  let here: string;
  beforeEach(async () => {
    here = await mkdtemp(join(tmpdir(), 'upload-'));
    return () => rm(here, { recursive: true });
  });

  const fileOf = async (content: Buffer) => {
    const path = join(here, 'source');
    await writeFile(path, content);
    return { path, facts: { sha256: sum('sha256', content), bytes: content.length } };
  };

  test('takes large files in parts, and none of a file that has changed', async () => {
    const cut = { fromBytes: 5000, partBytes: 1500 };
    const store = await openBucketObjects(server.newAddress(), { cut });
    const content = Buffer.from(Array.from({ length: 8000 }, (_, at) => at % 251));
    const { path, facts } = await fileOf(content);
    await store.putFile('objects/large', path, facts);
    expect(await store.sizeOf('objects/large')).toBe(8000);
    expect(await store.getFile('objects/large', join(here, 'fetched'), facts)).toBe(true);
    for (const changed of [content.subarray(0, 7000), Buffer.alloc(8000), Buffer.alloc(9000)]) {
      await writeFile(path, changed);
      await expect(store.putFile('objects/other', path, facts)).rejects.toMatchObject({
        code: 'picture-changed',
      });
    }
    expect(await store.sizeOf('objects/other')).toBeUndefined();
    await store.close();
  });

  test('is refused where other things are, and where none may be made', async () => {
    const address = server.newAddress();
    await expect(openBucketObjects(address, { mayMake: false })).rejects.toMatchObject({ code: 'wrong-use' });
    await (await openBucketObjects(`${address}/inner`)).close();
    await expect(openBucketObjects(address)).rejects.toMatchObject({ code: 'wrong-use' });
  });

  test('says what is wrong with keys, bucket, endpoint and address, and repeats no password', async () => {
    const address = server.newAddress();
    await expect(openWith(environmentOf(server.url, 'hunter2'), address)).rejects.toMatchObject({
      code: 'store-unreachable',
      message: `The store ${address} does not know these keys. Check AWS_ACCESS_KEY_ID, AWS_SECRET_ACCESS_KEY and AWS_SESSION_TOKEN, or the profile in AWS_PROFILE.`,
    });
    await expect(openBucketObjects('s3://other-bucket')).rejects.toThrow('it has no such bucket');
    await expect(openWith(environmentOf('http://127.0.0.1:1'))).rejects.toThrow('ECONNREFUSED');
    for (const wrong of ['s3://', 's3://key:hunter2@host/x', 's3://pages/../x', 's3://UPPER']) {
      const refusal = await openBucketObjects(wrong).catch((thrown: Error) => thrown);
      expect(refusal).toMatchObject({ code: 'wrong-use' });
      expect(String(refusal)).not.toContain('hunter2');
    }
  });

  test('needs a package, and says how to install it', async () => {
    const load = () => Promise.reject(new Error('not found'));
    await expect(openBucketObjects('s3://pages', { load })).rejects.toMatchObject({
      code: 'package-missing',
      remedy: 'Run: npm install @aws-sdk/client-s3',
    });
  });

  test('is sent the MD5 of what is put and no newer checksums, and says when it is full', async () => {
    const full = await answering((request, response) => {
      if (isMark(request)) response.end(mark);
      else
        response
          .writeHead(request.method === 'HEAD' ? 404 : 507)
          .end('<Error><Code>XMinioStorageFull</Code></Error>');
    });
    const store = await openWith(full.environment);
    const { path, facts } = await fileOf(Buffer.from('ink'));
    await expect(store.putFile('objects/one', path, facts)).rejects.toMatchObject({
      code: 'store-unreachable',
      what: expect.stringContaining('is full'),
    });
    const put = full.asked.find(({ method }) => method === 'PUT');
    // RFC 1864: base64 of the MD5 of the body, here of "ink".
    expect(put?.headers['content-md5']).toBe(
      Buffer.from(sum('md5', Buffer.from('ink')), 'hex').toString('base64'),
    );
    expect(Object.keys(put?.headers ?? {}).filter((name) => /checksum|trailer/.test(name))).toEqual([]);
    await store.close();
    full.close();
  });

  test('is listed to its end, page by page', async () => {
    const contents = (name: string) => `<Contents><Key>issue/objects/${name}</Key><Size>1</Size></Contents>`;
    const long = await answering((request, response) => {
      if (isMark(request)) return response.end(mark);
      const isSecond = request.url?.includes('continuation-token=more');
      const rest = isSecond
        ? `${contents('b')}<IsTruncated>false</IsTruncated>`
        : `${contents('a')}<IsTruncated>true</IsTruncated><NextContinuationToken>more</NextContinuationToken>`;
      response.end(`<ListBucketResult>${rest}</ListBucketResult>`);
    });
    const store = await openWith(long.environment, 's3://pages/issue');
    expect(await listed(store, 'objects/')).toEqual({ 'objects/a': 1, 'objects/b': 1 });
    await store.close();
    long.close();
  });

  test('is asked again for an answer that breaks off', async () => {
    let broken = 0;
    const breaking = await answering((request, response) => {
      if (isMark(request)) return response.end(mark);
      response.writeHead(200, { 'content-length': 3 });
      if (broken++ > 0) return response.end('ink');
      response.write('i', () => response.destroy());
    });
    const store = await openWith(breaking.environment);
    const facts = { sha256: sum('sha256', Buffer.from('ink')), bytes: 3 };
    expect(await store.getFile('objects/one', join(here, 'fetched'), facts)).toBe(true);
    expect(broken).toBe(2);
    await store.close();
    breaking.close();
  });

  test('copies an object onto itself when it is put again after days, or takes it anew where it cannot', async () => {
    const address = server.newAddress();
    const store = await openBucketObjects(address);
    const { path, facts } = await fileOf(Buffer.from('ink'));
    await store.putFile('objects/one', path, facts);
    const old = new Date(Date.now() - 5 * 24 * 3600 * 1000);
    await utimes(server.pathOf(address, 'objects/one'), old, old);
    await store.putFile('objects/one', path, facts);
    expect(await store.getFile('objects/one', join(here, 'fetched'), facts)).toBe(true);
    await store.close();
    const asking = await answering((request, response) => {
      if (isMark(request)) return response.end(mark);
      if (request.method === 'HEAD')
        return response.writeHead(200, { 'content-length': 3, 'last-modified': old.toUTCString() }).end();
      response.writeHead(request.headers['x-amz-copy-source'] === undefined ? 200 : 501).end();
    });
    const other = await openWith(asking.environment, 's3://pages/issue');
    await other.putFile('objects/one', path, facts);
    const puts = asking.asked.filter(({ method }) => method === 'PUT');
    expect(puts.map(({ headers }) => headers['x-amz-copy-source']).at(0)).toBe('pages/issue/objects/one');
    expect(puts.at(-1)?.headers['x-amz-copy-source']).toBeUndefined();
    await other.close();
    asking.close();
  });
});
