import type { PageRequest, UnhashedRequest } from './page-request.js';

/** The kinds of page that take memory each in a way of its own, as far as the names of the files tell. */

export type PageFiles = (PageRequest | UnhashedRequest)['files'];

/** Whether a page's lettering came in a file of its own. */
export function hasLettering(files: PageFiles): boolean {
  return files.some(({ part }) => part === 'lettering');
}

/** Whether a page came in layers. */
export function hasLayers(files: PageFiles): boolean {
  return files.some(({ name }) => name.toLowerCase().endsWith('.ora'));
}

/** Whether a page is made of flat pictures that need not be laid on each other. */
export function isPlain(files: PageFiles): boolean {
  return !hasLettering(files) && !hasLayers(files);
}
