import { setTimeout as pause } from 'node:timers/promises';
import type { S3Client } from '@aws-sdk/client-s3';
import { messageOf, PlatehandError } from '../../config/errors.js';
import { storeUnreachable } from './store-trouble.js';

/** The way to a bucket: the library for it, which not everybody has installed, its settings, time limits, and what its refusals mean. */

/** The library's module. */
export type BucketLibrary = typeof import('@aws-sdk/client-s3');

/** A bucket and what our objects' names begin with there. */
export interface BucketPlace {
  readonly address: string;
  readonly bucket: string;
  /** Empty, or ending with a slash. */
  readonly prefix: string;
}

const connectionLimitMs = 5_000;
/** A connection over which nothing goes for as long is given up. */
const silenceLimitMs = 30_000;
/** The library's own attempts at a request, with growing pauses. */
const attempts = 4;
/** Any request is over by then; one with bytes has longer, as for the slowest line that is of use. */
const requestLimitMs = 60_000;
const slowestBytesPerMs = 100;
const environment = ['AWS_ENDPOINT_URL_S3', 'AWS_ENDPOINT_URL'] as const;
/** Servers of one's own take any region. */
const anyRegion = 'us-east-1';
/** The bucket's name by the common rules, so that it can be no path. */
const bucketPattern = /^[a-z0-9][a-z0-9.-]{1,61}[a-z0-9]$/;

/** Loads the library. @throws PlatehandError `package-missing` where it is not installed */
export async function loadBucketLibrary(
  load: () => Promise<BucketLibrary> = () => import('@aws-sdk/client-s3'),
): Promise<BucketLibrary> {
  try {
    return await load();
  } catch (thrown) {
    throw new PlatehandError(
      'package-missing',
      'A store in a bucket needs the package @aws-sdk/client-s3, which is not installed',
      'Run: npm install @aws-sdk/client-s3',
      { cause: thrown },
    );
  }
}

/** Takes `s3://bucket/prefix` in two. @throws PlatehandError `wrong-use`, without repeating a password that stands in it */
export function bucketPlaceOf(address: string): BucketPlace {
  const [bucket, ...parts] = address.replace(/^s3:\/\//, '').split('/');
  const folders = parts.filter((part) => part !== '');
  const isPlain = folders.every((part) => /^[A-Za-z0-9_+=@-][A-Za-z0-9._+=@-]*$/.test(part));
  if (!bucketPattern.test(bucket) || !isPlain) {
    throw new PlatehandError(
      'wrong-use',
      'That is no address of a bucket',
      'Write it as s3://bucket/prefix; keys go into AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY.',
    );
  }
  const prefix = folders.map((part) => `${part}/`).join('');
  return { address: `s3://${[bucket, ...folders].join('/')}`, bucket, prefix };
}

/**
 * A client with what the environment says: endpoint, region, keys. Checksums that only newer servers know are left out; each put has the
 * older one, and what is fetched is held against its own.
 */
export function clientOf({ S3Client }: BucketLibrary): S3Client {
  const endpoint = environment.map((name) => process.env[name]).find((value) => value);
  const { AWS_REGION, AWS_PROFILE } = process.env;
  const isRegionOpen = endpoint !== undefined && !AWS_REGION && !AWS_PROFILE;
  return new S3Client({
    ...(endpoint === undefined ? {} : { endpoint, forcePathStyle: true }),
    ...(isRegionOpen ? { region: anyRegion } : {}),
    maxAttempts: attempts,
    requestChecksumCalculation: 'WHEN_REQUIRED',
    responseChecksumValidation: 'WHEN_REQUIRED',
    requestHandler: { connectionTimeout: connectionLimitMs, socketTimeout: silenceLimitMs },
  });
}

/** Ends a request that takes too long. @param bytes that it carries */
export function withinLimit(bytes = 0): { readonly abortSignal: AbortSignal } {
  return { abortSignal: AbortSignal.timeout(requestLimitMs + Math.ceil(bytes / slowestBytesPerMs)) };
}

/** The pieces of an answer, as long as they keep coming. */
export async function* unlessSilent(body: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  const pieces = body[Symbol.asyncIterator]();
  try {
    for (;;) {
      const next = await orSilence(pieces.next());
      if (next.done) return;
      yield next.value;
    }
  } finally {
    // Whoever stops half-way ends the connection; one that is silent is not waited for.
    void pieces.return?.().catch(() => undefined);
  }
}

async function orSilence<T>(coming: Promise<T>): Promise<T> {
  const end = new AbortController();
  const silence = pause(silenceLimitMs, undefined, { signal: end.signal }).then(() => {
    throw Object.assign(new Error('no more bytes came'), { name: 'TimeoutError' });
  });
  return Promise.race([coming, silence]).finally(() => {
    silence.catch(() => undefined);
    end.abort();
  });
}

/** What the library throws, as far as we look at it. */
interface Answer {
  readonly name?: string;
  readonly code?: string;
  readonly $metadata?: { readonly httpStatusCode?: number };
}

/** Whether the server said that there is no such object. */
export function isNotThere(thrown: unknown): boolean {
  const { name } = thrown as Answer;
  return name === 'NoSuchKey' || name === 'NotFound';
}

/** What goes wrong on the way and is worth another try, beside what the library tries again by itself. */
const passingNames = new Set(['BadDigest', 'IncompleteBody', 'RequestTimeout', 'SlowDown', 'InternalError']);
const passingCodes = new Set(['ECONNRESET', 'EPIPE', 'ERR_STREAM_PREMATURE_CLOSE', 'ECONNABORTED']);

/** Whether trouble of a bucket may be over in a moment. */
export function passesSoon(thrown: unknown): boolean {
  const { name = '', code = '' } = (thrown ?? {}) as Answer;
  return passingNames.has(name) || passingCodes.has(code);
}

const keys =
  'Check AWS_ACCESS_KEY_ID, AWS_SECRET_ACCESS_KEY and AWS_SESSION_TOKEN, or the profile in AWS_PROFILE.';
const network = 'Check AWS_ENDPOINT_URL_S3, the network and the server.';
const rights = 'Allow these keys to list the bucket, and to get, put and delete objects in it.';
const room = 'Make room there, or raise the quota.';

const reasons: Readonly<Record<string, readonly [what: string, remedy: string]>> = {
  NoSuchBucket: ['is not there: it has no such bucket', 'Make the bucket, or correct the address.'],
  InvalidAccessKeyId: ['does not know these keys', keys],
  SignatureDoesNotMatch: ['does not take these keys', keys],
  ExpiredToken: ['takes these keys no longer', keys],
  InvalidToken: ['does not take these keys', keys],
  CredentialsProviderError: ['was not asked: there are no keys for it', keys],
  RequestTimeTooSkewed: ['finds that the clock of this machine is wrong', 'Set the clock.'],
  AccessDenied: ['denied access', rights],
  TimeoutError: ['does not answer in time', network],
  AbortError: ['does not answer in time', network],
  QuotaExceeded: ['is full', room],
  XMinioStorageFull: ['is full', room],
  InsufficientStorage: ['is full', room],
  PermanentRedirect: ['is in another region', 'Name its region in AWS_REGION.'],
};
const byStatus: Readonly<Record<number, string>> = {
  401: 'InvalidToken',
  403: 'AccessDenied',
  507: 'QuotaExceeded',
};

/** What a bucket's refusal means. The words of the server are left out: they may repeat what was sent. */
export function bucketTrouble(address: string, thrown: unknown): PlatehandError {
  if (thrown instanceof PlatehandError) return thrown;
  const { name = '', code = '', $metadata } = (thrown ?? {}) as Answer;
  const status = $metadata?.httpStatusCode ?? 0;
  const reason = reasons[name] ?? reasons[byStatus[status] ?? ''];
  if (reason !== undefined) return storeUnreachable(address, reason[0], reason[1]);
  if (messageOf(thrown).startsWith('Region is missing')) {
    return storeUnreachable(address, 'was not asked: its region is not known', 'Name it in AWS_REGION.');
  }
  const said = code || (status > 0 ? `${name} ${status}` : name);
  return storeUnreachable(address, `does not answer as it should (${said})`, network);
}
