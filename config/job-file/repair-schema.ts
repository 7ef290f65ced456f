import * as z from 'zod';
import { choiceField, heading } from './schema-fields.js';

/**
 * What is put right on a page where its entry in job.yaml asks for that. Nothing is by default: what is wrong is told, and who drew it
 * decides.
 */

/** Line that lies beside its colour. */
export const register = z
  .strictObject({
    line: choiceField(['auto', 'off'], {
      means: 'auto moves and turns line that does not lie on its colour, as it was measured',
      default: 'off',
      example: 'auto',
    }).optional(),
  })
  .meta(
    heading(
      'a section with line',
      'What is put right where line and colour do not lie on each other. Default: nothing; it is told.',
      { line: 'auto' },
    ),
  );

/** What may be cleaned off the line of a page. */
const cleaned = ['specks', 'off'] as const;

/**
 * Dust on the line. What counts as such is measured, and not a matter of taste: pipeline/line-faults/specks.ts says how dots of
 * lettering, stipple and screens are told from it.
 */
export const clean = choiceField(cleaned, {
  means:
    'specks removes ink that stands alone on the paper and is no larger than dust (checks: speckMm) from the line',
  default: 'off',
  interplay:
    'Never from lettering, and not from a picture that line was lifted from; what was removed is told and shown',
  example: 'specks',
});
