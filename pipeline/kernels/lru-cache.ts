/** Keeps the values that were asked for last, by name; the one that was not asked for longest goes first. */
export class LastUsed<Value> {
  private readonly kept = new Map<string, Value>();

  /** @param most values kept at a time */
  constructor(private readonly most: number) {}

  /** A value that is kept, which counts as asked for now. */
  get(name: string): Value | undefined {
    const found = this.kept.get(name);
    if (found !== undefined) this.keep(name, found);
    return found;
  }

  /** Keeps a value, and gives it back. */
  keep(name: string, value: Value): Value {
    // Put at the end, so that the first is always the one that was not asked for longest.
    this.kept.delete(name);
    this.kept.set(name, value);
    const [oldest] = this.kept.keys();
    if (this.kept.size > this.most && oldest !== undefined) this.kept.delete(oldest);
    return value;
  }
}
