import type { Job } from '../../config/job.js';
import type { ColourScriptRequest } from '../model/sheet-request.js';
import { issueProducts } from '../outputs/issue-products.js';
import type { DrawSheet } from '../runner/page-runner.js';
import type { PagesReport } from './report.js';
import { upToDate } from './sheet-update.js';
import { scenePalettes } from './story.js';

/**
 * Writes what the story's colour is shown by, unless it stands there already: the colour script, and all palettes as open data. Judged
 * from what pages measured, so that another scene in job.yaml makes no page anew.
 * @param draw who draws the picture; default this process
 * @throws PlatehandError `write-failed`
 */
export async function updatePalettes(job: Job, report: PagesReport, draw?: DrawSheet): Promise<void> {
  const { colourScript, paletteTable, paletteStyle } = issueProducts;
  const { folder, issue, title, number, scenes } = job;
  const story = scenePalettes(job, report);
  const request: ColourScriptRequest = { kind: 'colour-script', issue, title, number, scenes, story };
  await upToDate(folder, colourScript, request, () => (draw ?? colourScript.make)(request));
  for (const product of [paletteTable, paletteStyle])
    await upToDate(folder, product, story, () => product.make(story));
}
