import type { Part } from '../../config/job.js';
import type { Noticed } from '../model/findings.js';

/** Gathers what the walk through a stack of layers brings to light, and puts it into words. */
export class StackNotes {
  readonly #byPart: Record<Part, string[]> = { colour: [], line: [], lettering: [], flats: [] };
  readonly #hidden: string[] = [];
  readonly #empty: string[] = [];
  readonly #offPage: string[] = [];

  hidden(name: string): void {
    this.#hidden.push(name);
  }

  /** A layer was laid down, with the part its name speaks of; whether any of it lies on the page and shows. */
  laid(name: string, part: Part | undefined, onPage: boolean, shows: boolean): void {
    if (part !== undefined) this.#byPart[part].push(name);
    if (!onPage) this.#offPage.push(name);
    else if (!shows) this.#empty.push(name);
  }

  /** Whether the stack has a visible layer of line or lettering. */
  hasLine(): boolean {
    return this.#byPart.line.length + this.#byPart.lettering.length > 0;
  }

  /** @param coveredPercent share of the line's area that is hidden under paint */
  noticed(coveredPercent: number): Noticed[] {
    const { line, lettering, flats } = this.#byPart;
    const found: Noticed[] = [];
    const note = (code: string, names: readonly string[], message: string, remedy: string): void => {
      if (names.length > 0)
        found.push({ code, severity: 'note', message: `${message}: ${list(names)}`, remedy });
    };
    note(
      'layers-line',
      line,
      'Taken as line art',
      'Nothing to do, if these are the inks; else rename the layer.',
    );
    note(
      'layers-lettering',
      lettering,
      'Taken as lettering, its black text as line',
      'Nothing to do, if this is the lettering; else rename the layer.',
    );
    note(
      'layers-flats',
      flats,
      'Flats are visible and were flattened with the rest',
      'Hide the flats if they are only for selecting.',
    );
    note(
      'layers-hidden',
      this.#hidden,
      'Hidden layers were left out',
      'Show them if they belong to the page.',
    );
    note('layers-empty', this.#empty, 'Empty layers', 'Nothing to do, unless something should be on them.');
    note(
      'layers-off-page',
      this.#offPage,
      'Layers that lie wholly off the page',
      'Move them if they belong to it.',
    );
    if (coveredPercent >= 0.05) found.push(coveredNote(coveredPercent));
    return found;
  }
}

function coveredNote(coveredPercent: number): Noticed {
  return {
    code: 'line-covered',
    severity: 'note',
    message: 'Part of the line art is hidden under paint above it and does not print',
    measured: `${coveredPercent.toFixed(1)} % of the line area`,
    remedy:
      'Nothing to do, if balloons or captions cover it; else move the layer that hides it below the line art.',
  };
}

/** Names in quotes, the topmost layer first, as a painting program lists them. */
function list(names: readonly string[]): string {
  return names
    .toReversed()
    .map((name) => `"${name}"`)
    .join(', ');
}
