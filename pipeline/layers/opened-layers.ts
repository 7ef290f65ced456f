import type { LayerRows } from '../model/working-page.js';
import type { Canvas } from './canvas.js';
import { LayingLayer, type LayRules } from './lay-layer.js';
import type { LayStep } from './lay-steps.js';
import type { LayerSource } from './layer-reader.js';

/** Layers that are decoded side by side at most: each takes some two megabytes while it is. Own choice. */
const mostSideBySide = 32;

/** Layers that were decoded as a whole and are held until all are laid: as many as a page laid layer by layer holds. */
const mostWhole = 1;

/** The layers of a stack, as far as they are open. */
export class OpenedLayers {
  private readonly sources = new Map<LayStep, LayerSource>();
  /** Layers whose files cannot be decoded row by row. */
  private readonly whole = new Set<LayStep>();
  private sixteenBit = false;
  /**
   * Opens all layers of a stack, so that they can be laid side by side.
   * @returns whether they are open: not where they are too many, or too large to be held together
   */
  async openAll(steps: readonly LayStep[]): Promise<boolean> {
    const layers = steps.filter(({ kind }) => kind === 'layer');
    if (layers.length > mostSideBySide) return false;
    for (const step of layers) await this.openRows(step);
    if (this.whole.size > mostWhole) return false;
    for (const step of layers) await this.open(step);
    return true;
  }

  /** Opens what can be decoded row by row; what cannot is noted. */
  private async openRows(step: LayStep): Promise<void> {
    if (step.kind !== 'layer' || step.layer.rows === undefined) return;
    const rows = await step.layer.rows();
    if (rows === undefined) this.whole.add(step);
    else this.sources.set(step, rows);
  }

  /** Opens the layer of a step, decoding it where it is not open yet. @returns bytes of a picture that is held as a whole */
  async open(step: LayStep): Promise<number> {
    if (step.kind !== 'layer' || this.sources.has(step)) return 0;
    if (!this.whole.has(step)) await this.openRows(step);
    const source = this.sources.get(step) ?? (await (step.layer.pieces ?? step.layer.pixels)());
    this.sources.set(step, source);
    if (!('data' in source)) return 0;
    if (source.data instanceof Uint16Array) this.sixteenBit = true;
    return source.data.byteLength;
  }

  /** Begins to lay the layer of a step, which is then no longer held here; undefined for a step that has none. */
  begun(step: LayStep, canvases: readonly Canvas[], rules: LayRules): LayingLayer | undefined {
    const source = this.sources.get(step);
    if (step.kind !== 'layer' || source === undefined) return undefined;
    if (!isRows(source)) this.sources.delete(step);
    return new LayingLayer(step.layer, source, step.part, canvases[step.onto], rules);
  }

  /** Whether a layer that was opened has 16 bit. */
  hasSixteenBit(): boolean {
    return this.sixteenBit;
  }

  /** Gives up whatever is still being decoded. */
  close(): void {
    for (const source of this.sources.values()) if (isRows(source)) source.close();
  }
}

function isRows(source: LayerSource): source is LayerRows {
  return 'next' in source;
}
