import { Session } from 'node:inspector';

interface Script {
  readonly url: string;
  readonly scriptId: string;
  readonly functions: readonly {
    readonly ranges: readonly {
      readonly startOffset: number;
      readonly endOffset: number;
      readonly count: number;
    }[];
  }[];
}

/**
 * Which pieces of code ran and how often, counted by the engine itself (the precise block coverage of V8's inspector), so that
 * nothing has to be instrumented.
 */
export class Coverage {
  private readonly session = new Session();

  /** @param counted says of a script's URL whether it counts */
  constructor(private readonly counted: (url: string) => boolean) {
    this.session.connect();
    this.session.post('Profiler.enable');
    this.session.post('Profiler.startPreciseCoverage', { callCount: true, detailed: true });
  }

  /** What ran since it was last asked: a text for each piece with the magnitude of its count. A piece passed over is one too. */
  take(): string[] {
    let scripts: readonly Script[] = [];
    this.session.post('Profiler.takePreciseCoverage', (_, answer) => {
      scripts = answer?.result ?? [];
    });
    const found: string[] = [];
    for (const { url, scriptId, functions } of scripts) {
      if (!this.counted(url)) continue;
      for (const { ranges } of functions) {
        if (ranges[0].count === 0) continue;
        for (const { startOffset, endOffset, count } of ranges)
          found.push(`${scriptId}:${startOffset}-${endOffset}:${Math.ceil(Math.log2(count + 1))}`);
      }
    }
    return found;
  }
}
