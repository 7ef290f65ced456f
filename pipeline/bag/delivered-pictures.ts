import * as z from 'zod';
import { openBag } from './bag-reader.js';
import { deliveryTexts } from './delivery-facts.js';

/** The pages of a delivery by the files that they can be compared by, read back from its ZIP or folder. */

/** A file of a page in a bundle. */
export interface DeliveredFile {
  /** In the bag, below data/. */
  readonly path: string;
  readonly role: string;
  readonly half?: number | undefined;
  readonly sha256: string;
  readonly ppi: number;
}

/** A page as a delivery holds it. */
export interface DeliveredPictures {
  readonly profileSha256: string | undefined;
  readonly files: readonly DeliveredFile[];
}

const form = z.object({
  pages: z.array(
    z.object({
      page: z.string(),
      press: z.object({ profileSha256: z.string() }).optional(),
      files: z.array(
        z.object({
          path: z.string(),
          role: z.string(),
          half: z.number().optional(),
          sha256: z.string(),
          ppi: z.number(),
        }),
      ),
    }),
  ),
});

/**
 * What a delivery says of its pages' files.
 * @param path of the ZIP or folder
 * @returns by page id; empty where it says nothing that can be read
 */
export async function readDeliveredPictures(path: string): Promise<Map<string, DeliveredPictures>> {
  const bytes = await readDelivered(path, deliveryTexts.record).catch(() => undefined);
  const read = form.safeParse(parsed(bytes));
  if (!read.success) return new Map();
  return new Map(
    read.data.pages.map(({ page, press, files }) => [page, { profileSha256: press?.profileSha256, files }]),
  );
}

function parsed(bytes: Buffer | undefined): unknown {
  try {
    return bytes === undefined ? undefined : JSON.parse(bytes.toString('utf8'));
  } catch {
    return undefined;
  }
}

/** Press files of a spread at 1200 ppi stay far below this. Own choice. */
const mostBytes = 2 * 2 ** 30;

/**
 * One file of a delivery.
 * @param file below data/
 * @throws Error where it is not in it, or damaged
 */
export async function readDelivered(path: string, file: string): Promise<Buffer> {
  const bag = await openBag(path);
  try {
    const found = bag.files.get(`data/${file}`);
    if (found === undefined || found.size > mostBytes) throw new Error(`${file} is not in it`);
    const chunks: Uint8Array[] = [];
    await found.read((chunk) => chunks.push(Uint8Array.from(chunk)));
    return Buffer.concat(chunks);
  } finally {
    bag.close();
  }
}
