import { createHash } from 'node:crypto';
import type { CompletedPart, S3Client } from '@aws-sdk/client-s3';
import { cannotRead, type FileHash } from '../reading/hash-file.js';
import { type BucketLibrary, passesSoon, withinLimit } from './bucket-client.js';
import { isSameContent, piecesOf } from './copy-hashed.js';
import { fileChanged, retried } from './store-trouble.js';

/** Files on their way into a bucket: small ones in one request, large ones in parts, so that memory stays bounded. */

/** How files are cut; tests cut small ones. */
export interface Cut {
  /** Files as large are put in parts. */
  readonly fromBytes: number;
  /** A part has as many; servers want at least 5 MB, and at most 10 000 parts. */
  readonly partBytes: number;
}

/** 64 and 16 MB: own choice; the largest picture that is taken in has some hundred parts. */
export const usualCut: Cut = { fromBytes: 64 * 2 ** 20, partBytes: 16 * 2 ** 20 };

/** Parts of one file on their way at the same time. */
const partsAtOnce = 3;

/** Where a file goes. */
export interface Target {
  readonly library: BucketLibrary;
  readonly client: S3Client;
  readonly Bucket: string;
  readonly Key: string;
}

/**
 * Puts a local file, which must still have the bytes that it is known by.
 * @throws PlatehandError `picture-changed`, `picture-unreadable`, or the library's error
 */
export async function uploadFile(target: Target, path: string, facts: FileHash, cut: Cut): Promise<void> {
  if (facts.bytes >= cut.fromBytes) return uploadInParts(target, path, facts, cut);
  const body = Buffer.concat(await allOf(path, facts.bytes));
  const sha256 = createHash('sha256').update(body).digest('hex');
  if (!isSameContent({ sha256, bytes: body.length }, facts)) throw fileChanged(path);
  await uploadBytes(target, body);
}

/** Puts bytes that are in memory. */
export async function uploadBytes({ library, client, Bucket, Key }: Target, Body: Uint8Array): Promise<void> {
  const input = { Bucket, Key, Body, ContentLength: Body.length, ContentMD5: md5Of(Body) };
  const put = () => client.send(new library.PutObjectCommand(input), withinLimit(Body.length));
  await retried(put, passesSoon);
}

/** What a file has, and no more than a little beyond what it should have. */
async function allOf(path: string, bytes: number): Promise<Buffer[]> {
  const pieces: Buffer[] = [];
  let length = 0;
  for await (const piece of piecesOf(path, (thrown) => cannotRead(path, thrown))) {
    pieces.push(Buffer.from(piece));
    length += piece.length;
    if (length > bytes) throw fileChanged(path);
  }
  return pieces;
}

async function uploadInParts(target: Target, path: string, facts: FileHash, cut: Cut): Promise<void> {
  const { library, client, Bucket, Key } = target;
  const begun = await client.send(new library.CreateMultipartUploadCommand({ Bucket, Key }), withinLimit());
  const upload = { Bucket, Key, UploadId: begun.UploadId };
  try {
    const Parts = await sendParts(target, upload, path, facts, cut);
    const complete = { ...upload, MultipartUpload: { Parts } };
    await client.send(new library.CompleteMultipartUploadCommand(complete), withinLimit(facts.bytes));
  } catch (thrown) {
    // What is left of it would be paid for and never be seen; a sweep clears it where this fails as well.
    await client.send(new library.AbortMultipartUploadCommand(upload), withinLimit()).catch(() => undefined);
    throw thrown;
  }
}

/** @throws what the first part to fail says, after those on their way have ended */
async function sendParts(
  { library, client }: Target,
  upload: { readonly Bucket: string; readonly Key: string; readonly UploadId: string | undefined },
  path: string,
  facts: FileHash,
  { partBytes }: Cut,
): Promise<CompletedPart[]> {
  const hash = createHash('sha256');
  const done: CompletedPart[] = [];
  const onTheWay = new Set<Promise<void>>();
  let bytes = 0;
  let failed: { readonly thrown: unknown } | undefined;
  const send = async (PartNumber: number, Body: Buffer) => {
    const input = { ...upload, PartNumber, Body, ContentLength: Body.length, ContentMD5: md5Of(Body) };
    const put = () => client.send(new library.UploadPartCommand(input), withinLimit(Body.length));
    const { ETag } = await retried(put, passesSoon);
    done.push({ PartNumber, ETag });
  };
  let number = 0;
  try {
    for await (const part of partsOf(path, partBytes)) {
      hash.update(part);
      bytes += part.length;
      if (bytes > facts.bytes) break;
      const sent: Promise<void> = send(++number, part)
        .catch((thrown: unknown) => {
          failed ??= { thrown };
        })
        .finally(() => onTheWay.delete(sent));
      onTheWay.add(sent);
      if (onTheWay.size >= partsAtOnce) await Promise.race(onTheWay);
      if (failed !== undefined) break;
    }
  } finally {
    await Promise.all(onTheWay);
  }
  if (failed !== undefined) throw failed.thrown;
  if (!isSameContent({ sha256: hash.digest('hex'), bytes }, facts)) throw fileChanged(path);
  return done.sort((one, other) => (one.PartNumber ?? 0) - (other.PartNumber ?? 0));
}

/** A file in parts of that size, the last one smaller; each is its own memory. */
async function* partsOf(path: string, partBytes: number): AsyncGenerator<Buffer> {
  let part = Buffer.allocUnsafe(partBytes);
  let filled = 0;
  for await (const piece of piecesOf(path, (thrown) => cannotRead(path, thrown))) {
    for (let at = 0; at < piece.length; ) {
      const copied = piece.copy(part, filled, at);
      at += copied;
      filled += copied;
      if (filled < partBytes) continue;
      yield part;
      part = Buffer.allocUnsafe(partBytes);
      filled = 0;
    }
  }
  if (filled > 0) yield part.subarray(0, filled);
}

function md5Of(bytes: Uint8Array): string {
  return createHash('md5').update(bytes).digest('base64');
}
