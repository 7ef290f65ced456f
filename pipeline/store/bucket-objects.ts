import type { S3Client } from '@aws-sdk/client-s3';
import PQueue from 'p-queue';
import type { FileHash } from '../reading/hash-file.js';
import {
  type BucketLibrary,
  type BucketPlace,
  bucketPlaceOf,
  bucketTrouble,
  clientOf,
  isNotThere,
  loadBucketLibrary,
  passesSoon,
  unlessSilent,
  withinLimit,
} from './bucket-client.js';
import { type Cut, type Target, uploadBytes, uploadFile, usualCut } from './bucket-upload.js';
import { writeHashed } from './copy-hashed.js';
import { fetchChecked } from './fetch-checked.js';
import { checkObjectName, checkObjectPrefix } from './object-names.js';
import { type ListedObject, longestTextBytes, type ObjectStore, renewedAfterMs } from './object-store.js';
import { checkMark, markName, markText, noStoreThere, notAStore } from './store-mark.js';
import { retried, storeDamaged } from './store-trouble.js';

/** Files on their way at once; each takes up to 64 MB of memory. */
const putsAtOnce = 2;

/** Ways in which tests open a bucket, and whether a store may be made there. */
export interface BucketOptions {
  /** Whether a store may be made where none is; default yes. */
  readonly mayMake?: boolean;
  /** From which size files go in parts, and how large those are; default 64 and 16 MB. */
  readonly cut?: Cut;
  /** Where the library comes from; default the installed package. */
  readonly load?: () => Promise<BucketLibrary>;
}

/**
 * Objects in a bucket that speaks S3, at `s3://bucket/prefix`; endpoint, region and keys come from the environment.
 * @throws PlatehandError `package-missing`, `wrong-use` where other things are there, `store-unreachable`
 */
export async function openBucketObjects(address: string, options: BucketOptions = {}): Promise<ObjectStore> {
  const place = bucketPlaceOf(address);
  const library = await loadBucketLibrary(options.load);
  const store = new BucketObjects(library, clientOf(library), place, options.cut ?? usualCut);
  try {
    const mark = await store.getText(markName);
    checkMark(place.address, mark ?? (await newMark(store, options.mayMake ?? true)));
    return store;
  } catch (thrown) {
    await store.close();
    throw thrown;
  }
}

async function newMark(store: ObjectStore, mayMake: boolean): Promise<string> {
  for await (const _ of store.list('')) throw notAStore(store.address);
  if (!mayMake) throw noStoreThere(store.address);
  await store.putText(markName, markText);
  return markText;
}

class BucketObjects implements ObjectStore {
  readonly address: string;
  private readonly puts = new PQueue({ concurrency: putsAtOnce });

  constructor(
    private readonly library: BucketLibrary,
    private readonly client: S3Client,
    private readonly place: BucketPlace,
    private readonly cut: Cut,
  ) {
    this.address = place.address;
  }

  async putFile(name: string, path: string, facts: FileHash): Promise<void> {
    const target = this.at(name);
    await this.attempt(async () => {
      const standing = await this.headOf(name);
      if (standing?.bytes === facts.bytes && (await this.renew(name, standing.changedMs))) return;
      await this.puts.add(() => uploadFile(target, path, facts, this.cut));
      const put = await this.headOf(name);
      if (put?.bytes !== facts.bytes) throw storeDamaged(this.address, name);
    });
  }

  async putText(name: string, text: string): Promise<void> {
    await this.attempt(() => uploadBytes(this.at(name), Buffer.from(text)));
  }

  async getText(name: string): Promise<string | undefined> {
    const { Bucket, Key } = this.at(name);
    const get = async () => {
      const { Body, ContentLength = 0 } = await this.client.send(
        new this.library.GetObjectCommand({ Bucket, Key }),
        withinLimit(),
      );
      if (ContentLength > longestTextBytes) throw storeDamaged(this.address, name);
      const pieces: Uint8Array[] = [];
      for await (const piece of unlessSilent(Body as AsyncIterable<Uint8Array>)) pieces.push(piece);
      return Buffer.concat(pieces).toString('utf8');
    };
    return this.attempt(() => unlessNotThere(() => retried(get, passesSoon)));
  }

  async getFile(name: string, toPath: string, facts: FileHash): Promise<boolean> {
    const { Bucket, Key } = this.at(name);
    const write = (part: string) =>
      unlessNotThere(async () => {
        const input = { Bucket, Key };
        const answer = await this.client.send(
          new this.library.GetObjectCommand(input),
          withinLimit(facts.bytes),
        );
        return writeHashed(part, unlessSilent(answer.Body as AsyncIterable<Uint8Array>));
      });
    const { address } = this;
    return this.attempt(() =>
      retried(() => fetchChecked(toPath, { address, name, facts, write }), passesSoon),
    );
  }

  async sizeOf(name: string): Promise<number | undefined> {
    this.at(name);
    return (await this.attempt(() => this.headOf(name)))?.bytes;
  }

  async *list(prefix: string): AsyncGenerator<ListedObject> {
    checkObjectPrefix(prefix);
    const { bucket: Bucket, prefix: own } = this.place;
    let ContinuationToken: string | undefined;
    do {
      const input = { Bucket, Prefix: own + prefix, ...(ContinuationToken && { ContinuationToken }) };
      const page = await this.attempt(() =>
        this.client.send(new this.library.ListObjectsV2Command(input), withinLimit()),
      );
      for (const { Key = '', Size = 0, LastModified } of page.Contents ?? []) {
        const name = Key.slice(own.length);
        if (name !== markName) yield { name, bytes: Size, changedMs: LastModified?.getTime() ?? Date.now() };
      }
      ContinuationToken = page.IsTruncated ? page.NextContinuationToken : undefined;
    } while (ContinuationToken !== undefined);
  }

  async remove(name: string): Promise<void> {
    const { Bucket, Key } = this.at(name);
    const input = { Bucket, Key };
    await this.attempt(() =>
      unlessNotThere(() => this.client.send(new this.library.DeleteObjectCommand(input), withinLimit())),
    );
  }

  /** Nothing is remembered of a bucket. */
  async lookAnew(prefix: string): Promise<void> {
    checkObjectPrefix(prefix);
  }

  async clearUnfinished(beforeMs: number): Promise<number> {
    const { bucket: Bucket, prefix: Prefix } = this.place;
    const { ListMultipartUploadsCommand, AbortMultipartUploadCommand } = this.library;
    // Not every server lists them; those clear them by rules of their own.
    const { Uploads = [] } = await this.client
      .send(new ListMultipartUploadsCommand({ Bucket, Prefix }), withinLimit())
      .catch(() => ({ Uploads: [] }));
    for (const { Key, UploadId, Initiated } of Uploads) {
      if (Initiated === undefined || Initiated.getTime() >= beforeMs) continue;
      await this.client
        .send(new AbortMultipartUploadCommand({ Bucket, Key, UploadId }), withinLimit())
        .catch(() => undefined);
    }
    return 0;
  }

  async close(): Promise<void> {
    this.client.destroy();
  }

  /** @throws PlatehandError `wrong-use` for a name that is none */
  private at(name: string): Target {
    checkObjectName(name);
    const { bucket: Bucket, prefix } = this.place;
    return { library: this.library, client: this.client, Bucket, Key: prefix + name };
  }

  private async headOf(name: string): Promise<Omit<ListedObject, 'name'> | undefined> {
    const { Bucket, Key } = this.at(name);
    const ask = new this.library.HeadObjectCommand({ Bucket, Key });
    const head = await unlessNotThere(() => this.client.send(ask, withinLimit()));
    return head && { bytes: head.ContentLength ?? 0, changedMs: head.LastModified?.getTime() ?? 0 };
  }

  /** @returns whether it stands with a time of these days; what cannot be copied onto itself is put again */
  private async renew(name: string, changedMs: number): Promise<boolean> {
    // The library follows the server's clock where ours is wrong.
    const nowMs = Date.now() + this.client.config.systemClockOffset;
    if (nowMs - changedMs < renewedAfterMs) return true;
    const { Bucket, Key } = this.at(name);
    const CopySource = `${Bucket}/${Key.split('/').map(encodeURIComponent).join('/')}`;
    const input = { Bucket, Key, CopySource, MetadataDirective: 'REPLACE' as const };
    return this.client.send(new this.library.CopyObjectCommand(input), withinLimit()).then(
      () => true,
      () => false,
    );
  }

  private async attempt<T>(action: () => Promise<T>): Promise<T> {
    try {
      return await action();
    } catch (thrown) {
      throw bucketTrouble(this.address, thrown);
    }
  }
}

async function unlessNotThere<T>(ask: () => Promise<T>): Promise<T | undefined> {
  try {
    return await ask();
  } catch (thrown) {
    if (isNotThere(thrown)) return undefined;
    throw thrown;
  }
}
