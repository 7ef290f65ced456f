import { createHash } from 'node:crypto';

/** A package-lock.json of version 3, as far as it is read. */
export interface LockFile {
  readonly packages: Readonly<Record<string, LockedPackage>>;
}

interface LockedPackage {
  readonly name?: string;
  readonly version?: string;
  readonly resolved?: string;
  readonly integrity?: string;
  readonly license?: string;
  readonly dev?: boolean;
  readonly optional?: boolean;
  readonly dependencies?: Readonly<Record<string, string>>;
  readonly optionalDependencies?: Readonly<Record<string, string>>;
}

type Located = readonly [path: string, locked: LockedPackage];

/** Licence names of SPDX that are met here; CycloneDX takes no others as `id`, and by their exact spelling. */
const spdxIds = [
  'MIT',
  'ISC',
  'Apache-2.0',
  'MPL-2.0',
  'BlueOak-1.0.0',
  'BSD-3-Clause',
  '0BSD',
  'LGPL-3.0-or-later',
];

/**
 * A software bill of materials: everything that is installed with platehand, after CycloneDX 1.6
 * (https://cyclonedx.org/docs/1.6/json/). No clock and no chance: the same lock file gives the same bytes. npm's own
 * `npm sbom` has both in it.
 */
export function sbomOf(lock: LockFile) {
  const root = lock.packages[''];
  const installed = Object.entries(lock.packages).filter(([path, { dev }]) => path !== '' && dev !== true);
  const document = {
    bomFormat: 'CycloneDX',
    specVersion: '1.6',
    version: 1,
    metadata: {
      component: {
        type: 'application',
        'bom-ref': refOf(['', root]),
        name: 'platehand',
        version: root.version,
        purl: refOf(['', root]),
        licenses: licensesOf(root),
      },
    },
    components: uniqueBy(installed.map(componentOf), (component) => component['bom-ref']),
    dependencies: uniqueBy(
      [['', root] as const, ...installed].map((one) => dependenciesOf(one, lock)),
      ({ ref }) => ref,
    ),
  };
  return {
    $schema: 'http://cyclonedx.org/schema/bom-1.6.schema.json',
    ...document,
    serialNumber: `urn:uuid:${uuidOf(JSON.stringify(document))}`,
  };
}

/** One package may lie in several places; it is one component all the same. */
function uniqueBy<Item>(items: readonly Item[], keyOf: (item: Item) => string): Item[] {
  const byKey = new Map(items.map((item) => [keyOf(item), item]));
  return [...byKey.keys()].sort().map((key) => byKey.get(key) as Item);
}

const nameOf = ([path, { name }]: Located): string =>
  name ?? path.slice(path.lastIndexOf('node_modules/') + 'node_modules/'.length);

/** Its package URL (purl): the `@` of a scope is written `%40`. */
function refOf(located: Located): string {
  return `pkg:npm/${nameOf(located).replace('@', '%40')}@${located[1].version}`;
}

function componentOf(located: Located) {
  const [, { version, integrity, resolved, optional }] = located;
  const steps = nameOf(located).split('/');
  return {
    type: 'library',
    'bom-ref': refOf(located),
    ...(steps.length > 1 ? { group: steps[0] } : {}),
    name: steps[steps.length - 1],
    version,
    scope: optional === true ? 'optional' : 'required',
    hashes: hashesOf(integrity),
    licenses: licensesOf(located[1]),
    purl: refOf(located),
    ...(resolved === undefined ? {} : { externalReferences: [{ type: 'distribution', url: resolved }] }),
  };
}

/** npm keeps `sha512-` and base64 (Subresource Integrity); CycloneDX wants hexadecimal. */
function hashesOf(integrity = '') {
  const sums = integrity.split(' ').filter((sum) => sum.startsWith('sha512-'));
  return sums.map((sum) => ({
    alg: 'SHA-512',
    content: Buffer.from(sum.slice(7), 'base64').toString('hex'),
  }));
}

/** An SPDX name, an expression of several, or the words that the package has for it. */
function licensesOf({ license }: LockedPackage) {
  if (license === undefined) return [];
  const id = spdxIds.find((one) => one.toLowerCase() === license.toLowerCase());
  if (id !== undefined) return [{ license: { id } }];
  const names = license.split(/ AND | OR /);
  return names.every((name) => spdxIds.includes(name))
    ? [{ expression: license }]
    : [{ license: { name: license } }];
}

function dependenciesOf([path, locked]: Located, lock: LockFile) {
  const wanted = Object.keys({ ...locked.dependencies, ...locked.optionalDependencies });
  const found = wanted.map((name) => find(name, path, lock)).filter((one) => one !== undefined);
  return { ref: refOf([path, locked]), dependsOn: [...new Set(found.map(refOf))].sort() };
}

/** Where Node would find a package from another's folder: in its own node_modules, else in that of each folder above. */
function find(name: string, from: string, { packages }: LockFile): Located | undefined {
  for (let folder = from; ; folder = folder.slice(0, Math.max(0, folder.lastIndexOf('/node_modules/')))) {
    const path = folder === '' ? `node_modules/${name}` : `${folder}/node_modules/${name}`;
    if (packages[path] !== undefined) return [path, packages[path]];
    if (folder === '') return undefined;
  }
}

/** A UUID made of content: version 8 of RFC 9562, whose bits are the maker's own but for version and variant. */
function uuidOf(content: string): string {
  const hex = createHash('sha256').update(content).digest('hex');
  const variant = ((Number.parseInt(hex[16], 16) & 3) | 8).toString(16);
  return [
    hex.slice(0, 8),
    hex.slice(8, 12),
    `8${hex.slice(13, 16)}`,
    `${variant}${hex.slice(17, 20)}`,
    hex.slice(20, 32),
  ].join('-');
}
