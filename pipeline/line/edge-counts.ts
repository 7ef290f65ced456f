/** How many edges of black a piece of a page has, by the tone of the black: ink shows as a narrow peak. */

/** Tones are counted in bins of so many levels. */
const binLevels = 2;
const bins = 40;

/** The brightest tone that is counted. */
export const mostTone = bins * binLevels - 1;

/** What is counted: edges that tell something; crisp ones by the tone of their black; those of flat black once more. */
const toldAt = 0;
const crispAt = 1;
const flatAt = crispAt + bins;
const numbers = flatAt + bins;

/**
 * How many bins the tones of one ink fill. Ink is constant but for noise: how rough flat black is, in levels between pixels
 * side by side, tells a clean page from one of JPEG. What varies more without being as rough was painted. Our own choice.
 */
const fewestInkBins = 3;
const mostInkBins = 8;
const binsOfRoughness = 4;

/** Where a peak ends: this share of its edges lies outside, half on either side. */
const outside = 0.05;

/** The tones of a page's ink, 0 to 255. */
export interface InkLevel {
  /** What ink looks like. */
  readonly level: number;
  /** The brightest tone that is still at its level. */
  readonly to: number;
}

/** Edges of a tile, of several, or of a page. */
export class EdgeCounts {
  private readonly counts = new Uint32Array(numbers);

  /** How many tell something. */
  get told(): number {
    return this.counts[toldAt];
  }

  clear(): void {
    this.counts.fill(0);
  }

  add(core: number, isCrisp: boolean, isFlat: boolean): void {
    const bin = Math.floor(core / binLevels);
    this.counts[toldAt]++;
    if (isCrisp) this.counts[crispAt + bin]++;
    if (isFlat) this.counts[flatAt + bin]++;
  }

  addAll({ counts }: EdgeCounts, weight: number): void {
    for (let i = 0; i < numbers; i++) this.counts[i] += counts[i] * weight;
  }

  /**
   * Share of the edges that are ink's, 0 to 1: crisp, and with black of one tone. One further dark colour of flat fills does not
   * count against it.
   */
  inkShare(peak: Peak): number {
    const { counts } = this;
    const [first, ink] = this.densest(peak);
    let flat = 0;
    for (let at = flatAt + first + peak.bins + 1; at < numbers - 1; at++) {
      flat = Math.max(flat, counts[at - 1] + counts[at] + counts[at + 1]);
    }
    return ink / Math.max(1, this.told - flat);
  }

  /** The tone of the ink. */
  levelOf(peak: Peak): InkLevel {
    const [first, held] = this.densest(peak);
    let [below, weighted, last] = [0, 0, first];
    for (let bin = first; bin < first + peak.bins; bin++) {
      const edges = this.counts[crispAt + bin];
      if (below < (1 - outside / 2) * held) last = bin;
      below += edges;
      weighted += edges * bin;
    }
    // One bin further: what is counted are the darkest pixels behind each edge.
    return { level: Math.round((weighted / held) * binLevels), to: (last + 2) * binLevels - 1 };
  }

  /** The bin in which the window begins that holds the most crisp edges, and how many they are. */
  private densest(peak: Peak): readonly [first: number, edges: number] {
    let [best, first] = [-1, 0];
    for (let bin = 0; bin <= peak.lastFirst; bin++) {
      let held = 0;
      for (let at = crispAt + bin; at < crispAt + bin + peak.bins; at++) held += this.counts[at];
      if (held > best) [best, first] = [held, bin];
    }
    return [first, best];
  }
}

/** What the peak of an ink looks like on a page. */
export interface Peak {
  readonly bins: number;
  /** The last bin that it may begin in. */
  readonly lastFirst: number;
}

/**
 * @param roughness mean difference between two pixels side by side in flat black, in levels
 * @param brightest the brightest tone that ink may have
 */
export function peakOf(roughness: number, brightest: number): Peak {
  const width = Math.min(mostInkBins, fewestInkBins + Math.round(roughness * binsOfRoughness));
  return { bins: width, lastFirst: Math.max(0, Math.floor(brightest / binLevels - width / 2)) };
}
