import type { Blend, StackEntry, StackLayer } from './layer-stacks.js';
import { inksName } from './layer-stacks.js';

/**
 * A layered page as a list of composites, for scripts: what somebody would write by hand for such pages, so that no script
 * has to read stack.xml. One line a picture:
 *
 *   NAME BASE FILE:MODE:X:Y:OPACITY ...
 *
 * BASE is a file or an earlier picture, or `-` for a transparent page; modes are libvips' own words, bottom to top. The last
 * pictures are `with` and `without` the line, both from `below`, what lies beneath the line; `line FILE` names the inks.
 */
export function recipeOf(stack: readonly StackEntry[], fileOf: ReadonlyMap<StackLayer, Placed>): string {
  const lines: string[] = [];
  const write = { lines, fileOf };
  const upwards = stack.toReversed();
  const at = upwards.findIndex(({ name }) => name === inksName);
  const [base, ...lower] = words(write, upwards.slice(0, at));
  const above = words(write, upwards.slice(at + 1));
  const inks = words(write, [upwards[at]]);
  lines.push(['below', base.split(':')[0], ...lower].join(' '));
  lines.push(['with', 'below', ...inks, ...above].join(' '));
  lines.push(['without', 'below', ...above].join(' '));
  lines.push(`line ${inks[0].split(':')[0]}`);
  return `${lines.join('\n')}\n`;
}

/** A layer's file within the archive, and its place on the page. */
export interface Placed {
  readonly file: string;
  readonly x: number;
  readonly y: number;
}

interface Writing {
  readonly lines: string[];
  readonly fileOf: ReadonlyMap<StackLayer, Placed>;
}

/** Modes as libvips calls them. It has all that are used here; hue, saturation, colour and luminosity it does not know. */
const modes: Readonly<Record<Blend, string>> = {
  'src-over': 'over',
  multiply: 'multiply',
  screen: 'screen',
  overlay: 'overlay',
  plus: 'add',
  'dst-in': 'dest-in',
};

/** Entries from the bottom to the top. A group that does nothing by itself gives its children; others become pictures. */
function words(write: Writing, upwards: readonly StackEntry[]): string[] {
  return upwards.flatMap((entry) => {
    const { blend, opacity } = entry;
    if (entry.kind === 'layer') {
      const { file, x, y } = write.fileOf.get(entry) ?? { file: '', x: 0, y: 0 };
      return [[file, modes[blend], x, y, opacity].join(':')];
    }
    const children = words(write, entry.children.toReversed());
    if (blend === 'src-over' && opacity === 1) return children;
    const name = `group${write.lines.length + 1}`;
    write.lines.push([name, '-', ...children].join(' '));
    return [[name, modes[blend], 0, 0, opacity].join(':')];
  });
}
