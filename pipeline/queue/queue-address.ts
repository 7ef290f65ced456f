import { isIPv6 } from 'node:net';
import { messageOf, PlatehandError } from '../../config/errors.js';
import { readRegular } from '../../config/regular-file.js';

/**
 * Where the queue is. No message ever holds a password, by one rule: nothing of an address is repeated before all of it was understood, and
 * then only what no password can stand in: scheme, host, port, path, number of the database. An `@` outside of user and password, as a
 * password with a slash or `#` in it brings about, is refused like any other text.
 */

/** What the client of the queue is given. */
export interface QueueConnection {
  readonly host?: string;
  readonly port?: number;
  /** Path of a socket instead of host and port. */
  readonly path?: string;
  readonly username?: string;
  readonly password?: string;
  readonly db: number;
  /** There where the connection is encrypted; `ca` is the certificate that is trusted instead of the system's, as PEM. */
  readonly tls?: { readonly ca?: string };
}

/** An address, understood. */
export interface QueueAddress {
  readonly connection: QueueConnection;
  /** The address without user and password, for every message. */
  readonly shown: string;
}

/** What of the environment counts. */
export interface QueueEnvironment {
  /** The user where the address names none. */
  readonly PLATEHAND_QUEUE_USER?: string | undefined;
  /** The password where the address has none: arguments of a command can be read by everybody on the machine. */
  readonly PLATEHAND_QUEUE_PASSWORD?: string | undefined;
  /** Path of a certificate that is trusted, as PEM, for `rediss://`. */
  readonly PLATEHAND_QUEUE_CA?: string | undefined;
}

/** The port that Redis is given (registered with IANA). */
const usualPort = 6379;
/** Redis has 16 databases unless it is told otherwise; more than this are a slip. */
const highestDatabase = 9999;
/** Longer than any address. */
const longestAddress = 2000;
/** More than the certificates of all authorities together. */
const mostCertificateBytes = 2 ** 20;

const examples =
  'Write redis://host:6379/0, rediss://host:6379/0 (encrypted) or redis+unix:///run/redis.sock?db=0, and put user and password into ' +
  'PLATEHAND_QUEUE_USER and PLATEHAND_QUEUE_PASSWORD, or into the address as user:password@host with signs such as @ / # : written as %40 %2F %23 %3A.';

/**
 * The address of a queue: `redis://`, `rediss://` or `redis+unix://`, with user and password from the address or else from the
 * environment.
 * @throws PlatehandError `wrong-use` that repeats nothing a password could stand in
 */
export async function queueAddress(text: string, environment: QueueEnvironment): Promise<QueueAddress> {
  const url = understood(text);
  const place = url.protocol === 'redis+unix:' ? socketOf(url) : hostOf(url);
  const username = decoded(url.username) || environment.PLATEHAND_QUEUE_USER;
  const password = decoded(url.password) || environment.PLATEHAND_QUEUE_PASSWORD;
  const tls = await tlsOf(url, environment.PLATEHAND_QUEUE_CA);
  const connection = {
    ...place.connection,
    ...(username ? { username } : {}),
    ...(password ? { password } : {}),
    ...(tls === undefined ? {} : { tls }),
  };
  return { connection, shown: place.shown };
}

/** A text that may hold the password after all, such as a library's complaint, without it. */
export function withoutPassword(text: string, { password }: QueueConnection): string {
  if (password === undefined) return text;
  return text.replaceAll(password, '***').replaceAll(encodeURIComponent(password), '***');
}

function understood(text: string): URL {
  // White space would be taken out by the parser without a word.
  const isText = text.length <= longestAddress && !/[\s\p{Cc}]/u.test(text);
  const url = isText && URL.canParse(text) ? new URL(text) : undefined;
  if (url === undefined) throw refused('The address of the queue cannot be understood');
  if (!['redis:', 'rediss:', 'redis+unix:'].includes(url.protocol)) {
    throw refused('The address of the queue is none of redis://, rediss:// and redis+unix://');
  }
  if (url.hash !== '') throw refused('The address of the queue has a # in it');
  return url;
}

function hostOf(url: URL): QueueAddress {
  const bare = url.hostname.replace(/^\[(.*)\]$/, '$1');
  const isHost = isIPv6(bare) || /^[a-z0-9]([a-z0-9._-]*[a-z0-9])?$/i.test(bare);
  if (!isHost) throw refused('The address of the queue has no host, or one that no machine is called by');
  const [, digits] = /^\/?(\d*)$/.exec(url.pathname) ?? [];
  if (digits === undefined || url.search !== '') {
    throw refused('The address of the queue has something behind the host that is no number of a database');
  }
  const port = url.port === '' ? usualPort : Number(url.port);
  if (port === 0) throw refused('The address of the queue has the port 0');
  const db = databaseOf(digits);
  const shown = `${url.protocol}//${url.hostname}:${port}/${db}`;
  return { connection: { host: bare, port, db }, shown };
}

function socketOf(url: URL): QueueAddress {
  const path = decoded(url.pathname);
  const [, digits] = /^(?:\?db=(\d+))?$/.exec(url.search) ?? [];
  const isPath = /^\/[^@\p{Cc}]*[^@/\p{Cc}]$/u.test(path) && url.host === '';
  if (!isPath || (url.search !== '' && digits === undefined)) {
    throw refused('The address of the queue has no path of a socket, or something beside it and ?db=');
  }
  const db = databaseOf(digits ?? '');
  return { connection: { path, db }, shown: `redis+unix://${path}?db=${db}` };
}

function databaseOf(digits: string): number {
  if (Number(digits) <= highestDatabase) return Number(digits);
  throw refused('The address of the queue has a number of a database that is too high');
}

function decoded(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    throw refused('The address of the queue has a % in it that begins no sign');
  }
}

async function tlsOf({ protocol }: URL, ca: string | undefined): Promise<QueueConnection['tls']> {
  const isEncrypted = protocol === 'rediss:';
  if (!ca) return isEncrypted ? {} : undefined;
  if (!isEncrypted) {
    throw new PlatehandError(
      'wrong-use',
      'PLATEHAND_QUEUE_CA names a certificate, but the address of the queue is not encrypted',
      'Write rediss:// where the queue is encrypted; otherwise leave PLATEHAND_QUEUE_CA out.',
    );
  }
  const bytes = await readRegular(ca, mostCertificateBytes).catch((thrown: unknown) => {
    throw new PlatehandError(
      'wrong-use',
      `The certificate that PLATEHAND_QUEUE_CA names cannot be read: ${messageOf(thrown)}`,
      'Write the path of a certificate as PEM into it.',
      { place: { file: ca } },
    );
  });
  return { ca: bytes.toString('utf8') };
}

/** Without a cause: the parser's own complaint has the whole address in it. */
function refused(what: string): PlatehandError {
  return new PlatehandError('wrong-use', what, examples);
}
