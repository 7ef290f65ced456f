import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import S3rver from 's3rver';

/** A server that speaks S3 over a folder of its own, in this process; its bucket is called `pages`. */
export interface BucketServer {
  /** A place in the bucket that nobody has used. */
  readonly newAddress: () => string;
  /** Where it keeps an object's bytes. */
  readonly pathOf: (address: string, name: string) => string;
  readonly url: string;
  /** Ends it, and puts the environment back. */
  readonly close: () => Promise<void>;
}

let places = 0;

/** The keys that the server knows. */
const knownKey = 'S3RVER';

/** Sets variables of the environment. @returns puts them back */
export function withEnvironment(wanted: Readonly<Record<string, string | undefined>>): () => void {
  const before = Object.keys(wanted).map((name) => [name, process.env[name]] as const);
  const set = (name: string, value: string | undefined) => {
    if (value === undefined) delete process.env[name];
    else process.env[name] = value;
  };
  for (const [name, value] of Object.entries(wanted)) set(name, value);
  return () => {
    for (const [name, value] of before) set(name, value);
  };
}

/** The environment of somebody who uses a server at that place. */
export function environmentOf(url: string, key = knownKey): Record<string, string | undefined> {
  return {
    AWS_ENDPOINT_URL_S3: url,
    AWS_ENDPOINT_URL: undefined,
    AWS_REGION: undefined,
    AWS_PROFILE: undefined,
    AWS_ACCESS_KEY_ID: key,
    AWS_SECRET_ACCESS_KEY: key,
    AWS_SESSION_TOKEN: undefined,
    AWS_EC2_METADATA_DISABLED: 'true',
  };
}

/** Starts a server, and sets the environment so that the library finds it. */
export async function startBucketServer(): Promise<BucketServer> {
  const directory = await mkdtemp(join(tmpdir(), 'bucket-'));
  const settings = { port: 0, address: '127.0.0.1', silent: true, directory };
  const server = new S3rver({ ...settings, configureBuckets: [{ name: 'pages' }] });
  const { port } = await server.run();
  const url = `http://127.0.0.1:${port}`;
  const putBack = withEnvironment(environmentOf(url));
  return {
    newAddress: () => `s3://pages/issue-${++places}`,
    pathOf: (address, name) => join(directory, address.slice('s3://'.length), `${name}._S3rver_object`),
    url,
    close: async () => {
      putBack();
      server.httpServer.closeAllConnections();
      await server.close();
      await rm(directory, { recursive: true });
    },
  };
}
