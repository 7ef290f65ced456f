import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import * as z from 'zod';
import { packageRoot } from '../../config/package-root.js';
import { reportForm } from './report-form.js';

/** Where the schema ships, below the project's folder. */
export const reportSchemaPath = 'config/report.schema.json';

/**
 * The JSON Schema (draft 2020-12) of report.json, for programs that read it: every member with its meaning. Kept apart from the form, which
 * every run loads.
 */
export function reportJsonSchema(): Record<string, unknown> {
  const { $schema, ...schema } = z.toJSONSchema(reportForm, { target: 'draft-2020-12' });
  return {
    $schema,
    title: 'report.json of platehand',
    description:
      'What was found on the pages of an issue and where. Lengths in millimetres from the upper left corner of the trim, boxes in percent ' +
      'of the picture; no time of day, so the same pages give the same report.',
    ...schema,
  };
}

/**
 * Writes it anew, where the package keeps it and nowhere else: to be done after every change of the form. A test compares.
 * @throws the system's error where the package's folder cannot be written to
 */
function writeReportSchema(): void {
  const text = `${JSON.stringify(reportJsonSchema(), null, 2)}\n`;
  writeFileSync(join(packageRoot(), ...reportSchemaPath.split('/')), text);
}

/** `npm run schema` runs this file with that word; no program contains it. */
const writeWord = '--write';

if (process.argv.includes(writeWord)) {
  writeReportSchema();
  process.stdout.write(`wrote ${reportSchemaPath}\n`);
}
