import type { FilePart } from '../../config/job.js';
import { lookAtEach } from '../../pipeline/issue/page-run.js';
import type { FileIdentity } from '../../pipeline/model/page-request.js';
import type { FileFacts } from '../../pipeline/store/file-hashes.js';
import type { IssueBoard } from './issue-board.js';
import type { IssueJournal, IssueMemory } from './issue-journal.js';

/** Notes in the ledger which files came and went, each once, with checksum and what they were taken for. */
export class ArrivalNotes {
  /** Files that were left out, with the rule: told once. What was told of the same entry need not be put into words again. */
  private readonly setAside = new Map<string, { readonly entry: unknown; readonly why: string }>();
  /** Files that were noted, as they were then. */
  private readonly noted = new Map<string, FileIdentity>();
  /** Folders and files that cannot be looked at, with the reason as it was told. */
  private readonly outOfSight = new Map<string, string>();

  constructor(
    private readonly board: IssueBoard,
    private readonly journal: IssueJournal,
    private readonly memory: IssueMemory,
  ) {}

  async write(): Promise<void> {
    const { table } = this.board;
    const places = this.placesOfFiles();
    const isNew = (name: string) =>
      table.stageOf(name) === 'whole' && this.noted.get(name) !== table.identityOf(name);
    const whole = table.names().filter(isNew);
    // Read side by side, told in their order: thousands of files that nobody asked for must not keep the next look waiting.
    const seen = whole.map((name) => table.identityOf(name));
    const facts = await lookAtEach([...whole.entries()], ([at, name]) => this.factsOf(name, seen[at]));
    for (const [at, name] of whole.entries()) {
      this.noteArrival(name, facts[at], places.get(name));
      if (facts[at] !== undefined && seen[at] !== undefined) this.noted.set(name, seen[at]);
    }
    for (const name of this.memory.arrived.keys()) {
      if (table.stageOf(name) !== undefined) continue;
      this.memory.arrived.delete(name);
      this.noted.delete(name);
      this.journal.tell('gone', { file: name, message: `${name} was taken out of incoming/` });
    }
    this.noteSetAside();
    this.noteHidden();
  }

  /** A file that goes away or may not be read shows elsewhere. */
  private async factsOf(name: string, seen: FileIdentity | undefined): Promise<FileFacts | undefined> {
    return this.board.caches.hashes.of(this.board.pathOf(name), seen).catch(() => undefined);
  }

  private noteArrival(name: string, facts: FileFacts | undefined, place: FilePlace | undefined): void {
    if (facts === undefined || this.memory.arrived.get(name) === facts.sha256) return;
    const isNew = !this.memory.arrived.has(name);
    this.memory.arrived.set(name, facts.sha256);
    const version = place?.version === undefined ? '' : ` v${place.version}`;
    const what = place === undefined ? '' : `: ${place.part}${version}`;
    this.journal.tell('arrived', {
      file: name,
      bytes: facts.bytes,
      sha256: facts.sha256,
      message: `${name} ${isNew ? 'has arrived' : 'has changed'}${what}`,
      ...(place === undefined ? {} : { page: place.page, part: place.part }),
      ...(place?.version === undefined ? {} : { version: place.version }),
    });
  }

  private placesOfFiles(): Map<string, FilePlace> {
    const pages = this.board.reconciliation?.pages ?? [];
    return new Map(pages.flatMap(({ files }) => files.map((file) => [file.name, file] as const)));
  }

  /** Tells of files that are not used, as soon as they are whole. */
  private noteSetAside(): void {
    const { reconciliation, table } = this.board;
    if (reconciliation === undefined) return;
    const now = new Map<string, { readonly entry: unknown; readonly why: string }>();
    for (const { names, page, part, rule, remedy } of reconciliation.contested) {
      const why = `claim page ${page}, ${part}, and none is used: ${rule}. ${remedy}`;
      now.set(names.join(' and '), { entry: why, why });
    }
    for (const entry of [...reconciliation.unknown, ...reconciliation.passedOver]) {
      const { name, rule, remedy } = entry;
      if (remedy === '' || (table.stageOf(name) ?? 'whole') !== 'whole') continue;
      const told = this.setAside.get(name);
      now.set(name, told?.entry === entry ? told : { entry, why: `is not used: ${rule}. ${remedy}` });
    }
    for (const [names, { why, entry }] of now) {
      const told = this.setAside.get(names);
      if (told?.entry === entry) continue;
      this.setAside.set(names, { entry, why });
      if (told?.why !== why) this.journal.tell('set-aside', { file: names, message: `${names} ${why}` });
    }
    for (const names of this.setAside.keys()) if (!now.has(names)) this.setAside.delete(names);
  }

  /** Tells of each folder or file that cannot be looked at, once, and that it can be again. */
  private noteHidden(): void {
    const now = new Map(this.board.hidden.map(({ name, rule, remedy }) => [name, `${rule}. ${remedy}`]));
    for (const [name, why] of now) {
      if (this.outOfSight.get(name) === why) continue;
      this.outOfSight.set(name, why);
      this.journal.tell('trouble', { file: name, message: `incoming/${name} ${why}` });
    }
    for (const name of this.outOfSight.keys()) {
      if (now.has(name)) continue;
      this.outOfSight.delete(name);
      const message = `incoming/${name} can be looked at again, or is gone`;
      this.journal.tell('trouble-over', { file: name, message });
    }
  }
}

interface FilePlace {
  readonly page: string;
  readonly part: FilePart;
  readonly version: number | undefined;
}
