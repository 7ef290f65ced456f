import { readFileSync, writeFileSync } from 'node:fs';
import { type BundleFacts, noticesOf, noticesText } from './notices.js';
import { type LockFile, sbomOf } from './sbom.js';

/**
 * Writes what goes out beside the programs, from the project's folder: NOTICES.txt of what they contain (`notices`), and
 * sbom.cdx.json of all that is installed with them (`sbom`). The build runs both.
 */
const makers: Readonly<Record<string, () => void>> = {
  notices() {
    const facts = JSON.parse(readFileSync('dist/programs.json', 'utf8')) as BundleFacts;
    writeFileSync('dist/programs/NOTICES.txt', noticesText(noticesOf(facts, '.')));
  },
  sbom() {
    const lock = JSON.parse(readFileSync('package-lock.json', 'utf8')) as LockFile;
    writeFileSync('dist/programs/sbom.cdx.json', `${JSON.stringify(sbomOf(lock), null, 2)}\n`);
  },
};

for (const name of process.argv.slice(2)) {
  if (makers[name] === undefined)
    throw new Error(`${name}: nothing of that name is made here; there are ${Object.keys(makers)}`);
  makers[name]();
}
