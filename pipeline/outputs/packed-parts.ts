import type { SizePx } from '../../config/units.js';
import type { FlushedStream } from '../files/joined-deflate.js';
import type { PackedStrips } from '../files/tiff-strips.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Bitmap } from '../model/raster.js';
import type { Separation } from '../model/separation.js';
import type { PageInks } from '../separate.js';
import type { DeliveredPage } from './delivered-pages.js';

/**
 * What several products of one page hold alike, packed once: the composite's strips go into the PDF wherever no line is on
 * them, and the packed line into both.
 */
export class PackedParts {
  private readonly composites = new Map<number | undefined, Promise<PackedStrips>>();
  private readonly lines = new Map<number | undefined, Promise<PackedLine>>();

  /**
   * @param blackOnly whether black ink alone prints: strips are grey then, 0 solid ink
   * @param arena where strips are made ready
   */
  constructor(
    private readonly inks: Pick<PageInks, 'separation' | 'composite'>,
    private readonly blackOnly: boolean,
    private readonly arena: PageArena,
  ) {}

  /** The strips of a page's composite, each packed when it is asked for. */
  composite(page: DeliveredPage): Promise<PackedStrips> {
    return found(this.composites, page, () => this.stripsOf(page.inksOf(this.inks.composite)));
  }

  /** A page's line, packed. @param line of the whole page */
  line(page: DeliveredPage, line: Bitmap): Promise<PackedLine> {
    return found(this.lines, page, async () => {
      const { packG4 } = await import('../files/fax-g4.js');
      const plate = page.lineOf(line);
      return { size: { width: plate.width, height: plate.height }, packed: packG4(plate) };
    });
  }

  /** The strips of a page's process inks without line: those of the composite where both are alike. */
  async picture(page: DeliveredPage): Promise<FlushedStream[]> {
    const { separation, composite } = this.inks;
    const shared = await this.composite(page);
    const own = separation === composite ? shared : await this.stripsOf(page.inksOf(separation));
    return own.streams((strip) => (areAlike(own, shared, strip) ? shared : own));
  }

  private async stripsOf(inks: Separation): Promise<PackedStrips> {
    const { blackStrips, compositeStrips } = await import('../write.js');
    return (this.blackOnly ? blackStrips : compositeStrips)(inks, this.arena);
  }
}

/** A line plate packed with Group 4. */
export interface PackedLine {
  readonly size: SizePx;
  readonly packed: Uint8Array;
}

function found<T>(
  known: Map<number | undefined, Promise<T>>,
  { of }: DeliveredPage,
  make: () => Promise<T>,
): Promise<T> {
  const made = known.get(of?.half) ?? make();
  known.set(of?.half, made);
  return made;
}

/** Whether a strip holds the same inks in both. */
function areAlike(one: PackedStrips, other: PackedStrips, strip: number): boolean {
  if (one === other) return true;
  const from = strip * one.rows * one.picture.width;
  const to = from + one.rowsOf(strip) * one.picture.width;
  return one.picture.planes.every((plane, ink) => {
    const beside = other.picture.planes[ink];
    return plane === beside || Buffer.compare(plane.subarray(from, to), beside.subarray(from, to)) === 0;
  });
}
