/** What our tests use of s3rver, which has no types of its own. */
declare module 's3rver' {
  import type { AddressInfo } from 'node:net';

  /** A small S3 server over a folder. */
  class S3rver {
    constructor(options: {
      readonly port: number;
      readonly address: string;
      readonly silent: boolean;
      readonly directory: string;
      readonly configureBuckets?: readonly { readonly name: string }[];
    });
    run(): Promise<AddressInfo>;
    close(): Promise<void>;
    readonly httpServer: { closeAllConnections(): void };
  }

  export = S3rver;
}
