import type { SizePx } from '../../config/units.js';
import { type TiffLayout, tiffCompression, tiffHead, tiffPhotometric } from '../files/tiff-file.js';
import type { KernelMemory } from '../kernels/kernel-memory.js';
import { bandPixels, inBands } from '../kernels/kernel-memory.js';
import type { PageArena } from '../kernels/page-arena.js';
import type { Raster } from '../model/raster.js';
import { type ProcessPlanes, processPlanes, type Separation } from '../model/separation.js';

/**
 * Rows of a strip of the picture that is handed to the image library; so many it reads at a time. Our own choice.
 */
const rowsPerStrip = 64;

/**
 * The process inks of a page at another size, for the proof: Lanczos, three lobes. They are made smaller, not the finished
 * picture, so that a quarter of the pixels, or fewer, are left to look up.
 *
 * Raw pixels of four channels are taken for red, green, blue and transparency by the image library; a TIFF says that they
 * are inks. So the inks go to it as an uncompressed TIFF in memory: half the time that three and one of them take apart.
 * @param arena for as long as the inks are handed over; the inks themselves stand there where they have that size already
 * @returns cmyk, 8 bit, without alpha
 */
export async function reducedInks(separation: Separation, size: SizePx, arena: PageArena): Promise<Raster> {
  const { width, height } = separation;
  if (width === size.width && height === size.height) {
    const data = arena.allocate(width * height * 4);
    joinInks(processPlanes(separation), data, arena);
    return { width, height, model: 'cmyk', alpha: false, data };
  }
  const { default: sharp } = await import('sharp');
  const data = await sharp(asTiff(separation, arena), {
    ignoreIcc: true,
    limitInputPixels: false,
    unlimited: true,
  })
    .pipelineColourspace('cmyk')
    .resize(size.width, size.height, { fit: 'fill', kernel: 'lanczos3' })
    .toColourspace('cmyk')
    .raw()
    .toBuffer();
  if (data.length !== size.width * size.height * 4) throw new Error('the inks came back as something else');
  return {
    ...size,
    model: 'cmyk',
    alpha: false,
    data: new Uint8Array(data.buffer, data.byteOffset, data.length),
  };
}

function asTiff(separation: Separation, arena: PageArena): Uint8Array {
  const { width, height } = separation;
  const layout: TiffLayout = {
    width,
    height,
    samples: 4,
    bitsPerSample: 8,
    compression: tiffCompression.none,
    photometric: tiffPhotometric.separated,
    differenced: false,
    rowsPerStrip,
    ppi: 1,
    profile: undefined,
  };
  const counts: number[] = [];
  for (let y = 0; y < height; y += rowsPerStrip) counts.push(Math.min(rowsPerStrip, height - y) * width * 4);
  const head = tiffHead(layout, counts);
  const file = arena.allocate(head.length + width * height * 4);
  file.set(head);
  joinInks(processPlanes(separation), file.subarray(head.length), arena);
  return file;
}

/** Interleaves four planes: width x height x 4. */
function joinInks(planes: ProcessPlanes, joined: Uint8Array, memory: KernelMemory): void {
  const [to, ...places] = memory.scratch(bandPixels * 4, ...new Array<number>(4).fill(bandPixels));
  inBands(planes[0].length, (start, count) => {
    const [c, m, y, k] = planes.map((plane, i) =>
      memory.addressOf(plane.subarray(start, start + count), places[i]),
    );
    const into = joined.subarray(start * 4, (start + count) * 4);
    const at = memory.writableAddress(into, to);
    memory.kernels.joinFour(c, m, y, k, count, at);
    memory.store(at, into);
  });
}
