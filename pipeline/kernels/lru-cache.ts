/** A cache of the values that were asked for last, by name; the one that was not asked for longest goes first. */
export class LruCache<Value> {
  private readonly values = new Map<string, Value>();

  /** @param most values in the cache at a time */
  constructor(private readonly most: number) {}

  /** A value that is in the cache, which counts as asked for now. */
  get(name: string): Value | undefined {
    const found = this.values.get(name);
    if (found !== undefined) this.set(name, found);
    return found;
  }

  /** Puts a value into the cache, and hands it on. */
  set(name: string, value: Value): Value {
    // Put at the end, so that the first is always the one that was not asked for longest.
    this.values.delete(name);
    this.values.set(name, value);
    const [oldest] = this.values.keys();
    if (this.values.size > this.most && oldest !== undefined) this.values.delete(oldest);
    return value;
  }
}
