import { basename } from 'node:path';
import type { IssuePage, Part } from '../../config/job.js';
import type { Press } from '../../config/press.js';
import type { PressChoice, PrintSpec } from '../../config/print-spec.js';
import type { LocalFile, PageRequest, RequestedFile } from '../model/page-request.js';
import { pageKeys } from '../page/page-key.js';

/** A page request on its way between machines: what it names, it names by content, for a path of one machine says nothing on another. */

/** Content of the printer's own profile. */
export interface PressFacts {
  /** In lower case hexadecimal. */
  readonly sha256: string;
  readonly bytes: number;
}

/** A press condition that every machine has, or a profile by its content. */
export type SentPress =
  | Extract<PressChoice, { kind: 'shipped' }>
  | (PressFacts & {
      readonly kind: 'file';
      /** Name of its file without folders: a profile without a description is called by it, also in keys. */
      readonly name: string;
    });

/** A print spec without paths. */
export type SentSpec = Omit<PrintSpec, 'press'> & {
  /** What the page is separated for. */
  readonly press: SentPress;
};
/** A page without paths. */
export type SentPage = Omit<IssuePage, 'spec'> & {
  /** Its profile goes by its content. */
  readonly spec: SentSpec;
};
/** A working file by its content. */
export type SentFile = Omit<RequestedFile, 'local'>;

/** A page request without paths. */
export type SentRequest = Omit<PageRequest, 'files' | 'outFolder' | 'page' | 'partWords'> & {
  /** With its print spec, whose profile goes by its content. */
  readonly page: SentPage;
  /** By their checksums. */
  readonly files: readonly SentFile[];
  /** Of the parts of the picture: words of extra inks tell files, never layers. */
  readonly partWords: Readonly<Record<Part, readonly string[]>>;
};

/**
 * A request as it is put on the queue.
 * @param press content of the printer's own profile; needed where the page's press is one, and of no meaning otherwise
 */
export function sentRequest(request: PageRequest, press?: PressFacts): SentRequest {
  const { outFolder: _, files, page, partWords, ...others } = request;
  const { colour, line, lettering, flats } = partWords;
  return {
    ...others,
    page: { ...page, spec: { ...page.spec, press: sentPress(page.spec.press, press) } },
    partWords: { colour, line, lettering, flats },
    files: files.map(({ local: _local, ...file }) => file),
  };
}

function sentPress(choice: PressChoice, facts: PressFacts | undefined): SentPress {
  if (choice.kind === 'shipped') return choice;
  if (facts === undefined) throw new Error('a profile is sent by its content, which was not given');
  return { kind: 'file', sha256: facts.sha256, bytes: facts.bytes, name: basename(choice.path) };
}

/** Where on this machine stands what a sent request names. */
export interface Whereabouts {
  /** Each of its files, in their order. */
  readonly files: readonly LocalFile[];
  /** The profile by its path, of the name that the request gives; for a press that ships of no meaning. */
  readonly pressPath: string;
  /** Existing folder for the outputs; undefined only inspects. */
  readonly outFolder: string | undefined;
}

/** A sent request as a runner of this machine takes it. */
export function requestHere(sent: SentRequest, { files, pressPath, outFolder }: Whereabouts): PageRequest {
  const { page } = sent;
  const { press } = page.spec;
  const choice: PressChoice = press.kind === 'shipped' ? press : { kind: 'file', path: pressPath };
  return {
    ...sent,
    page: { ...page, spec: { ...page.spec, press: choice } },
    files: sent.files.map((file, at) => ({ ...file, local: files[at] })),
    outFolder,
  };
}

/** No key depends on where a file stands. */
const nowhere: LocalFile = { path: '', seen: { bytes: 0, mtimeMs: 0, ctimeMs: 0, inode: 0 } };

/**
 * Whether the keys of a request are those of what it asks for, and of the engine of this machine.
 * @param press the page's press condition as it was opened here
 */
export function keysMatch(sent: SentRequest, press: Press): boolean {
  const own = sent.page.spec.press;
  if (own.kind === 'file' && own.sha256 !== press.sha256) return false;
  const files = sent.files.map(() => nowhere);
  const { key, productKeys } = pageKeys(
    requestHere(sent, { files, pressPath: '', outFolder: undefined }),
    press,
  );
  const names = Object.keys(productKeys) as (keyof typeof productKeys)[];
  return key === sent.key && names.every((name) => productKeys[name] === sent.productKeys[name]);
}
