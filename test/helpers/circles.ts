/** What leads where: rooms that import rooms, files that import files. */
export type Arrows = ReadonlyMap<string, ReadonlySet<string>>;

/**
 * The shortest way that leads back to where it began, its first stop named again at its end; undefined where there is
 * none.
 */
export function circleIn(arrows: Arrows): string[] | undefined {
  let shortest: string[] | undefined;
  for (const start of arrows.keys()) {
    const circle = wayBack(arrows, start);
    if (circle !== undefined && circle.length < (shortest?.length ?? Number.POSITIVE_INFINITY))
      shortest = circle;
  }
  return shortest;
}

/** Looks in wider and wider rings, so that the first way back is a shortest one. */
function wayBack(arrows: Arrows, start: string): string[] | undefined {
  const cameFrom = new Map<string, string>();
  const queue = [start];
  for (const at of queue) {
    for (const next of arrows.get(at) ?? []) {
      if (next === start) return [...wayTo(cameFrom, start, at), start];
      if (cameFrom.has(next)) continue;
      cameFrom.set(next, at);
      queue.push(next);
    }
  }
  return undefined;
}

function wayTo(cameFrom: ReadonlyMap<string, string>, start: string, end: string): string[] {
  const way = [end];
  for (let at = end; at !== start; way.unshift(at)) at = cameFrom.get(at) ?? start;
  return way;
}
