import sharp from 'sharp';
import type { SizePx } from '../../../config/units.js';
import { openRasterFile } from '../../../sample-job/write-openraster.js';
import type { DrawnLayer } from './draw-layers.js';
import type { StackEntry, StackLayer } from './layer-stacks.js';
import type { Placed } from './recipe.js';

/** zlib's usual level, which painting programs write. */
const pngLevel = 6;

/**
 * Writes a page as OpenRaster (file layout and layer stack, version 0.0.3), a layer at a time: drawn, packed, put into the
 * archive. The merged image is left out, which nobody reads here.
 * @returns where each layer stands in the archive and on the page
 */
export async function writeStack(
  path: string,
  stack: readonly StackEntry[],
  size: SizePx,
  ppi: number,
): Promise<ReadonlyMap<StackLayer, Placed>> {
  const placed = new Map<StackLayer, Placed>();
  const { add, end } = openRasterFile(path);
  for (const layer of layersOf(stack)) {
    const drawn = layer.draw();
    const file = `data/layer${String(placed.size).padStart(3, '0')}.png`;
    placed.set(layer, { file, x: drawn.x, y: drawn.y });
    add(file, await encode(drawn, ppi));
  }
  add('stack.xml', stackXml(stack, placed, size, ppi));
  await end();
  return placed;
}

function layersOf(entries: readonly StackEntry[]): StackLayer[] {
  return entries.flatMap((entry) => (entry.kind === 'layer' ? [entry] : layersOf(entry.children)));
}

function encode({ width, height, channels, data }: DrawnLayer, ppi: number): Promise<Buffer> {
  return sharp(data, { raw: { width, height, channels } })
    .withIccProfile('srgb')
    .withDensity(ppi)
    .png({ compressionLevel: pngLevel })
    .toBuffer();
}

function stackXml(
  stack: readonly StackEntry[],
  placed: ReadonlyMap<StackLayer, Placed>,
  { width, height }: SizePx,
  ppi: number,
): string {
  const xmlOf = (entry: StackEntry): string => {
    const { name, opacity, blend } = entry;
    const common = `name="${name}" opacity="${opacity}" visibility="visible" composite-op="svg:${blend}"`;
    if (entry.kind === 'group') return `<stack ${common}>\n${entry.children.map(xmlOf).join('\n')}\n</stack>`;
    const { file, x, y } = placed.get(entry) ?? { file: '', x: 0, y: 0 };
    return `<layer ${common} src="${file}" x="${x}" y="${y}"/>`;
  };
  return `<?xml version="1.0" encoding="UTF-8"?>
<image version="0.0.3" w="${width}" h="${height}" xres="${ppi}" yres="${ppi}">
<stack>
${stack.map(xmlOf).join('\n')}
</stack>
</image>
`;
}
