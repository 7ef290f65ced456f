import { fork } from 'node:child_process';
import { PlatehandError } from '../../config/errors.js';
import { programPath } from '../../config/package-root.js';
import type { IssuePictureRequest } from '../../pipeline/model/sheet-request.js';

/** What the process answers: the sheet, or why it could not be drawn. */
export type SheetAnswer = { readonly png: Uint8Array } | { readonly problem: string };

/** A sheet takes a second or two; one that takes this long will never come. */
const timeLimitMs = 120_000;

/**
 * Draws a contact sheet in a process of its own, which ends with it: the image library keeps what it has taken from the
 * system, so that a daemon that drew for itself would grow for days. A crash of the drawing costs the sheet only.
 * @param signal ends the process when it aborts
 * @throws PlatehandError `page-process`
 */
export function drawSheetApart(sheet: IssuePictureRequest, signal?: AbortSignal): Promise<Uint8Array> {
  return new Promise((resolve, reject) => {
    const child = fork(programPath('sheet-process'), [], {
      serialization: 'advanced',
      // So that what is drawn in parts is given back part by part.
      execArgv: ['--expose-gc'],
      stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
      signal,
      timeout: timeLimitMs,
      killSignal: 'SIGKILL',
    });
    child.once('message', (answer: SheetAnswer) => {
      if ('png' in answer) resolve(answer.png);
      else reject(notDrawn(answer.problem));
    });
    child.once('error', (error) => reject(notDrawn(error.message)));
    // After an answer this changes nothing any more.
    child.once('exit', (code, signal) =>
      reject(notDrawn(`its process ended with ${signal ?? `exit code ${code}`}`)),
    );
    child.send(sheet);
  });
}

function notDrawn(why: string): PlatehandError {
  const what = `The contact sheet could not be drawn: ${why}`;
  return new PlatehandError('page-process', what, 'Everything else is made as usual.');
}
