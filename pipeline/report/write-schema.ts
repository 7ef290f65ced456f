import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { packageRoot } from '../../config/package-root.js';
import { reportJsonSchema } from './report-form.js';

/** Writes config/report.schema.json from the code's schema: run by `npm run schema` after every change to it. */
writeFileSync(
  join(packageRoot(), 'config', 'report.schema.json'),
  `${JSON.stringify(reportJsonSchema(), null, 2)}\n`,
);
