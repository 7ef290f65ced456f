import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import { type AddressInfo, isIPv6 } from 'node:net';
import { messageOf, PlatehandError } from '../../config/errors.js';
import { visible } from '../../config/visible-text.js';
import { openMetrics, openMetricsType } from '../../pipeline/queue/open-metrics.js';
import type { QueueView } from '../../pipeline/queue/queue-view.js';

/** Answers `GET /metrics` with the figures of a queue, and nothing else with anything. */

/** Where metrics are asked for. */
export interface MetricsPlace {
  readonly host: string;
  /** 0 takes a free one. */
  readonly port: number;
}

/** A server that answers. */
export interface MetricsServer {
  /** Where it answers, such as `http://127.0.0.1:9464/metrics`. */
  readonly url: string;
  /** Ends it with all connections; closing it again changes nothing. */
  close(): Promise<void>;
}

/** Nobody but this machine hears of it unless that is asked for. */
const ownHost = '127.0.0.1';
const highestPort = 65_535;
/** A view is read no more often than this, however many ask. */
const viewAgeMs = 1000;
/** A view that takes longer counts as one that cannot be read. */
const patienceMs = 5000;
/** Far more than gather figures of one queue. */
const mostConnections = 32;
const mostHeaderBytes = 8192;

/**
 * `PORT` on this machine alone, or `HOST:PORT`.
 * @throws PlatehandError `wrong-use`
 */
export function metricsPlace(text: string): MetricsPlace {
  const [, written = ownHost, digits = ''] =
    /^(?:([a-z0-9._-]+|\[[0-9a-f:.]+\]):)?(\d{1,5})$/i.exec(text) ?? [];
  const host = written.replace(/^\[(.*)\]$/, '$1');
  const isHost = !written.startsWith('[') || isIPv6(host);
  if (digits !== '' && isHost && Number(digits) <= highestPort) return { host, port: Number(digits) };
  throw new PlatehandError(
    'wrong-use',
    `--metrics ${visible(text)} is no port`,
    'Write a port such as 9464, for this machine alone, or host and port such as 0.0.0.0:9464.',
  );
}

/**
 * Begins to answer.
 * @param readView reads the queue; asked at most once a second
 * @throws PlatehandError `wrong-use` where the port is taken or not allowed
 */
export async function openMetricsServer(
  { host, port }: MetricsPlace,
  readView: () => Promise<QueueView>,
): Promise<MetricsServer> {
  const textNow = onceWithin(viewAgeMs, async () => openMetrics(await withinPatience(readView())));
  const limits = {
    maxHeaderSize: mostHeaderBytes,
    headersTimeout: patienceMs,
    requestTimeout: 2 * patienceMs,
  };
  const server = createServer(limits, (request, response) => void answer(request, response, textNow));
  server.maxConnections = mostConnections;
  await listening(server, { host, port });
  const bound = server.address() as AddressInfo;
  const shownHost = isIPv6(bound.address) ? `[${bound.address}]` : bound.address;
  return { url: `http://${shownHost}:${bound.port}/metrics`, close: () => closed(server) };
}

function listening(server: Server, { host, port }: MetricsPlace): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', (thrown) => {
      const what = `Metrics cannot be offered at ${host}, port ${port}: ${messageOf(thrown)}`;
      reject(new PlatehandError('wrong-use', what, 'Choose another port with --metrics.', { cause: thrown }));
    });
    server.listen({ host, port }, resolve);
  });
}

function closed(server: Server): Promise<void> {
  return new Promise((resolve) => {
    // A server that is closed already says so, which is as good.
    server.close(() => resolve());
    server.closeAllConnections();
  });
}

async function answer(
  { method, url = '' }: IncomingMessage,
  response: ServerResponse,
  textNow: () => Promise<string>,
): Promise<void> {
  const isRead = method === 'GET' || method === 'HEAD';
  if (!isRead) response.setHeader('allow', 'GET, HEAD');
  if (!isRead) return say(response, 405, 'Only GET and HEAD are answered');
  if (url.split('?', 1)[0] !== '/metrics') return say(response, 404, 'There is /metrics and nothing else');
  try {
    const text = await textNow();
    response.writeHead(200, { 'content-type': openMetricsType, 'content-length': Buffer.byteLength(text) });
    response.end(method === 'HEAD' ? undefined : text);
  } catch (thrown) {
    // What is no refusal of ours may hold anything.
    const why = thrown instanceof PlatehandError ? `: ${visible(thrown.what)}` : '';
    say(response, 503, `The queue cannot be read${why}`);
  }
}

function say(response: ServerResponse, status: number, text: string): void {
  response.writeHead(status, { 'content-type': 'text/plain; charset=utf-8' });
  response.end(`${text}.\n`);
}

/** Asked again within a time, or while an answer is awaited, it gives the same answer, failures too. */
function onceWithin<T>(ageMs: number, ask: () => Promise<T>): () => Promise<T> {
  let last: { readonly answer: Promise<T>; settledMs: number } | undefined;
  return () => {
    if (last !== undefined && performance.now() - last.settledMs < ageMs) return last.answer;
    const asked = { answer: ask(), settledMs: Number.POSITIVE_INFINITY };
    const settle = () => {
      asked.settledMs = performance.now();
    };
    asked.answer.then(settle, settle);
    last = asked;
    return asked.answer;
  };
}

function withinPatience<T>(work: Promise<T>): Promise<T> {
  return new Promise((resolve, reject) => {
    const late = () =>
      reject(new PlatehandError('queue-refused', 'It does not answer', 'Look at the queue.'));
    const timer = setTimeout(late, patienceMs);
    work.then(resolve, reject).finally(() => clearTimeout(timer));
  });
}
