import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { packageRoot } from '../package-root.js';
import { jobJsonSchema } from './job-schema.js';

/** Writes config/job.schema.json from the code's schema: run by `npm run schema` after every change to it. */
writeFileSync(
  join(packageRoot(), 'config', 'job.schema.json'),
  `${JSON.stringify(jobJsonSchema(), null, 2)}\n`,
);
