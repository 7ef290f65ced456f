import { type IncomingListing, listAgain, listIncoming } from '../../pipeline/names/incoming.js';

/** What incoming/ holds, listed again and again: where it is known what may have changed, only that is looked at. */
export class FolderListing {
  private last: IncomingListing | undefined;

  /**
   * @param folder path of incoming/
   * @param unsettled names of files that may change without anybody telling
   * @param touched names of files that may have changed besides; undefined where it may be any
   * @throws PlatehandError `job-missing`
   */
  async list(
    folder: string,
    unsettled: readonly string[],
    touched: ReadonlySet<string> | undefined,
  ): Promise<IncomingListing> {
    const { last } = this;
    const isKnown = last !== undefined && touched !== undefined;
    const again = isKnown ? await listAgain(folder, last, new Set([...touched, ...unsettled])) : undefined;
    this.last = again ?? (await listIncoming(folder));
    return this.last;
  }
}
