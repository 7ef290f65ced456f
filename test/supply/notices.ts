import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

/** What the bundler says of its work (`--metafile`), as far as it is asked: which files went into which program. */
export interface BundleFacts {
  readonly outputs: Readonly<Record<string, { readonly inputs: Readonly<Record<string, unknown>> }>>;
}

/** A package with the text under which it may be passed on. */
export interface Notice {
  readonly name: string;
  readonly version: string;
  /** As its package.json names it. */
  readonly license: string;
  readonly text: string;
  /** What of it is in platehand, where that is not its code in a program. */
  readonly part?: string;
}

/** Builders that leave code of their own in what they build. */
const builders: Readonly<Record<string, string>> = {
  'node_modules/assemblyscript': 'its standard library, compiled into kernels.wasm',
  'node_modules/esbuild': 'the few lines that join modules in each program',
};

/** The folders of packages whose files are in the programs, such as `node_modules/yaml`, sorted. */
export function bundledFolders({ outputs }: BundleFacts): string[] {
  const inputs = Object.values(outputs).flatMap((output) => Object.keys(output.inputs));
  // A package inside another one's folder counts by itself: the last `node_modules` is its own.
  const folders = inputs.map((path) => /^.*node_modules\/(?:@[^/]+\/)?[^/]+/.exec(path)?.[0]);
  return [...new Set(folders.filter((folder) => folder !== undefined))].sort();
}

/**
 * The notices of all that is in the programs and the kernels.
 * @param root folder of the project, with node_modules
 * @throws Error where a package has no text of its licence
 */
export function noticesOf(facts: BundleFacts, root: string): Notice[] {
  const bundled = bundledFolders(facts).map((folder) => noticeIn(join(root, folder)));
  const built = Object.entries(builders).map(([folder, part]) => ({
    ...noticeIn(join(root, folder)),
    part,
  }));
  return [...bundled, ...built].sort((a, b) => compare(titleOf(a), titleOf(b)));
}

/** By code units: the order of one's own language differs from machine to machine. */
function compare(first: string, second: string): number {
  return first < second ? -1 : Number(first > second);
}

interface Manifest {
  readonly name: string;
  readonly version: string;
  readonly license?: string;
  readonly author?: string | { readonly name?: string };
}

/** @throws Error where the package says no licence, or brings no text of it and it is none of those with a known text */
export function noticeIn(folder: string): Notice {
  const manifest = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8')) as Manifest;
  const { name, version, license } = manifest;
  const text = ownTexts(folder) ?? textInReadme(folder) ?? standardText(manifest);
  if (license === undefined || text === undefined)
    throw new Error(`${name} ${version} brings no licence text: find it, and say here where it stands`);
  return { name, version, license, text: text.replaceAll('\r\n', '\n').trim() };
}

/** Its licence, and the notices that Apache-2.0 (section 4d) asks to pass on. */
function ownTexts(folder: string): string | undefined {
  const names = readdirSync(folder)
    .filter((name) => /^(?:licen[cs]e|copying|notice)(?:[.-].*)?$/i.test(name))
    .sort();
  if (names.length === 0) return undefined;
  return names.map((name) => readFileSync(join(folder, name), 'utf8').trim()).join('\n\n');
}

/** What stands below the heading `License` of its README, where that is more than a name. */
function textInReadme(folder: string): string | undefined {
  const readme = readdirSync(folder).find((name) => /^readme\.md$/i.test(name));
  if (readme === undefined) return undefined;
  const text = readFileSync(join(folder, readme), 'utf8');
  const section = text.split(/^#+ */m).find((part) => /^licen[cs]e/i.test(part));
  const below = section?.slice(section.indexOf('\n'));
  return below !== undefined && /permission is hereby granted|redistribut/i.test(below) ? below : undefined;
}

/** The ISC licence as SPDX has it (spdx.org/licenses/ISC), of a package that only names it. */
function standardText({ license, author }: Manifest): string | undefined {
  const holder = typeof author === 'string' ? author : author?.name;
  if (license !== 'ISC' || holder === undefined) return undefined;
  return `Copyright (c) ${holder}

Permission to use, copy, modify, and/or distribute this software for any purpose with or without fee is hereby
granted, provided that the above copyright notice and this permission notice appear in all copies.

THE SOFTWARE IS PROVIDED "AS IS" AND THE AUTHOR DISCLAIMS ALL WARRANTIES WITH REGARD TO THIS SOFTWARE INCLUDING ALL
IMPLIED WARRANTIES OF MERCHANTABILITY AND FITNESS. IN NO EVENT SHALL THE AUTHOR BE LIABLE FOR ANY SPECIAL, DIRECT,
INDIRECT, OR CONSEQUENTIAL DAMAGES OR ANY DAMAGES WHATSOEVER RESULTING FROM LOSS OF USE, DATA OR PROFITS, WHETHER IN AN
ACTION OF CONTRACT, NEGLIGENCE OR OTHER TORTIOUS ACTION, ARISING OUT OF OR IN CONNECTION WITH THE USE OR PERFORMANCE OF
THIS SOFTWARE.`;
}

const titleOf = ({ name, version }: Pick<Notice, 'name' | 'version'>): string => `${name} ${version}`;
const rule = '-'.repeat(78);

/** The file that goes out beside the programs. */
export function noticesText(notices: readonly Notice[]): string {
  const list = notices.map((notice) => `  ${titleOf(notice)} (${notice.license})`).join('\n');
  const texts = notices.map((notice) => {
    const part = notice.part === undefined ? '' : `\nIn platehand: ${notice.part}.`;
    return `${rule}\n${titleOf(notice)}\nLicence: ${notice.license}${part}\n\n${notice.text}\n`;
  });
  return `The programs of platehand contain code of the packages below, each under its own licence, whose text follows.
sharp, its libraries and the fonts are installed beside platehand with their own licences.

${list}

${texts.join('\n')}`;
}

/** Packages, as `name version`, that the programs contain and a file of notices does not name with a text. */
export function missingIn(text: string, notices: readonly Notice[]): string[] {
  return notices
    .filter((notice) => !text.includes(`${rule}\n${titleOf(notice)}\n`) || !text.includes(notice.text))
    .map(titleOf);
}
