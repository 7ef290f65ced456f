import type { Part } from '../../config/job.js';
import type { Layer, LayerGroup } from '../model/working-page.js';
import { clearsOutside } from './blend.js';
import type { StackNotes } from './stack-notes.js';

/**
 * A stack of layers as one list of steps, the lowest layer first: layers are laid onto a canvas, and a group that is isolated has a
 * canvas of its own, which is merged onto the one beneath once its layers are laid. Canvas 0 is the page.
 */
export type LayStep =
  | {
      readonly kind: 'layer';
      readonly layer: Layer;
      /** What its name, or that of its group, speaks of. */
      readonly part: Part | undefined;
      readonly onto: number;
    }
  | { readonly kind: 'merge'; readonly group: LayerGroup; readonly from: number; readonly onto: number };

/**
 * Plans how a stack is laid.
 * @param notes is told what is hidden
 */
export function planSteps(
  root: LayerGroup,
  partOf: (layerName: string) => Part | undefined,
  notes: StackNotes,
): readonly LayStep[] {
  const steps: LayStep[] = [];
  let canvases = 1;
  const plan = (group: LayerGroup, part: Part | undefined, onto: number): void => {
    for (const entry of [...group.children].reverse()) {
      const own = partIn(part, partOf(entry.name));
      if (!entry.visible || (entry.opacity <= 0 && !clearsOutside(entry.blend))) {
        notes.hidden(entry.name);
      } else if (entry.kind === 'layer') {
        steps.push({ kind: 'layer', layer: entry, part: own, onto });
      } else if (isIsolated(entry)) {
        const from = canvases++;
        plan(entry, own, from);
        steps.push({ kind: 'merge', group: entry, from, onto });
      } else {
        plan(entry, own, onto);
      }
    }
  };
  plan(root, undefined, 0);
  return steps;
}

/** Whether a step lays line or lettering. */
export function isLine(step: LayStep): boolean {
  return step.kind === 'layer' && (step.part === 'line' || step.part === 'lettering');
}

/** All content of a group of line or lettering is line or lettering; elsewhere a layer's own name comes first. */
function partIn(group: Part | undefined, own: Part | undefined): Part | undefined {
  return group === 'line' || group === 'lettering' ? group : (own ?? group);
}

/** OpenRaster layer stack, since 0.0.4: opacity or a mode of its own isolates a group, whatever it says. */
function isIsolated(group: LayerGroup): boolean {
  return group.isolated || group.opacity < 1 || group.blend !== 'src-over';
}
