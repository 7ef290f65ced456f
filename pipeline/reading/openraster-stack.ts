import { SaxesParser } from 'saxes';
import { messageOf, PlatehandError } from '../../config/errors.js';
import type { Noticed } from '../model/findings.js';
import type { StatedPpi } from '../model/raster.js';
import { damaged } from './byte-source.js';
import {
  type Element,
  type EntryAttributes,
  entryAttributes,
  oneOf,
  positiveInteger,
} from './openraster-attributes.js';
import {
  attributesNotice,
  elementsNotice,
  resolutionNotice,
  rootNotice,
  versionNotice,
} from './openraster-notices.js';
import { plausible } from './stored-picture.js';

/** A layer as stack.xml has it: `x` and `y` are its place on the page, the offsets of its stacks added. */
export interface StackLayer extends EntryAttributes {
  readonly kind: 'layer';
  /** Name of its picture in the archive. */
  readonly src: string;
}

/** A stack within the stack; its offset is already in its layers. */
export interface StackGroup extends EntryAttributes {
  readonly kind: 'group';
  readonly isolated: boolean;
  /** The first child is the topmost. */
  readonly children: (StackGroup | StackLayer)[];
}

export interface StackDocument {
  readonly width: number;
  readonly height: number;
  readonly ppi: StatedPpi | undefined;
  readonly root: StackGroup;
  readonly noticed: readonly Noticed[];
}

/** Far above what a page needs, far below what hurts. Own limits, no published source. */
export const stackLimits = { bytes: 1024 * 1024, depth: 64, layers: 2000 } as const;

/** Attributes with a meaning here; anything else is an extension and is noted. */
const common = ['name', 'x', 'y', 'opacity', 'visibility', 'composite-op'];
const known: Readonly<Record<string, ReadonlySet<string>>> = {
  image: new Set(['w', 'h', 'version', 'xres', 'yres', 'name']),
  stack: new Set([...common, 'isolation']),
  layer: new Set([...common, 'src']),
};

interface Tag {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
}

/** An open stack: the group being filled, and what its children inherit. */
interface OpenStack {
  readonly group: StackGroup;
  readonly x: number;
  readonly y: number;
  readonly shown: boolean;
}

/**
 * Reads stack.xml after OpenRaster's layer stack specification (github.com/openraster/ora-spec, baseline). No entity
 * is ever resolved but XML's own five, and a document type is refused.
 * @throws PlatehandError `picture-unreadable`, `picture-unsupported` or `archive-unsafe`
 */
export function parseStack(xml: Buffer, file: string): StackDocument {
  if (xml.length > stackLimits.bytes)
    throw unsafe(file, `stack.xml is larger than ${stackLimits.bytes} bytes`);
  const reader = new StackReader(file);
  try {
    const text = new TextDecoder('utf-8', { fatal: true }).decode(xml);
    reader.read(text);
  } catch (error) {
    if (error instanceof PlatehandError) throw error;
    throw damaged(file, `stack.xml is damaged (${messageOf(error)})`, error);
  }
  return reader.document();
}

/** Gathers the tree while the parser goes through the document. */
class StackReader {
  private readonly parser = new SaxesParser({ position: true, xmlns: false as const });
  private readonly open: string[] = [];
  private readonly stacks: OpenStack[] = [];
  private readonly ignored = new Map<string, number>();
  private readonly skipped = new Map<string, number>();
  private readonly noticed: Noticed[] = [];
  private image: Element | undefined;
  private root: StackGroup | undefined;
  private layers = 0;
  private skipping = 0;

  constructor(private readonly file: string) {}

  read(text: string): void {
    this.parser.on('error', (error) => {
      throw damaged(this.file, `stack.xml is damaged (${error.message})`, error);
    });
    this.parser.on('doctype', () => {
      throw unsafe(this.file, 'stack.xml brings a document type of its own');
    });
    this.parser.on('opentag', (tag) => this.enter(tag));
    this.parser.on('closetag', () => this.leave());
    this.parser.write(text).close();
  }

  document(): StackDocument {
    const { image, root, file } = this;
    if (image === undefined || root === undefined)
      throw damaged(file, 'stack.xml holds no image with a stack');
    const width = positiveInteger(image, 'w');
    const height = positiveInteger(image, 'h');
    if (width === undefined || height === undefined) {
      throw damaged(file, 'stack.xml does not state the size of the image (w and h)');
    }
    const ppi = plausible(positiveInteger(image, 'xres'), positiveInteger(image, 'yres'));
    const about = [...versionNotice(image), ...resolutionNotice(image)];
    const left = [...attributesNotice(this.ignored), ...elementsNotice(this.skipped)];
    return { width, height, ppi, root, noticed: [...this.noticed, ...about, ...left] };
  }

  private enter(tag: Tag): void {
    this.open.push(tag.name);
    if (this.open.length > stackLimits.depth)
      throw unsafe(this.file, `stack.xml nests deeper than ${stackLimits.depth}`);
    if (this.skipping > 0) return;
    const depth = this.open.length;
    const inStack = this.open[depth - 2] === 'stack';
    const element = this.element(tag);
    if (depth === 1 && tag.name === 'image') this.image = element;
    else if (depth === 1) throw damaged(this.file, `stack.xml begins with "${tag.name}" instead of "image"`);
    else if (depth === 2 && tag.name === 'stack') this.enterRoot(element);
    else if (inStack && tag.name === 'stack') this.enterGroup(element);
    else if (inStack && tag.name === 'layer') this.addLayer(element);
    else {
      this.skipping = depth;
      count(this.skipped, tag.name);
      return;
    }
    for (const attribute of Object.keys(tag.attributes)) {
      const declared = attribute === 'xmlns' || attribute.startsWith('xmlns:');
      if (!declared && !known[tag.name].has(attribute)) count(this.ignored, attribute);
    }
  }

  private leave(): void {
    const depth = this.open.length;
    const name = this.open.pop();
    if (this.skipping > 0) {
      if (this.skipping === depth) this.skipping = 0;
    } else if (name === 'stack') this.stacks.pop();
  }

  private element(tag: Tag): Element {
    const { name } = tag.attributes;
    const called = name === undefined ? tag.name : `${tag.name} "${name}"`;
    return { file: this.file, line: this.parser.line, called, attributes: tag.attributes };
  }

  private enterRoot(element: Element): void {
    if (this.root !== undefined) throw damaged(this.file, 'stack.xml holds more than one root stack');
    const { name = '', ...others } = element.attributes;
    const misplaced = Object.keys(others).filter((attribute) => known.stack.has(attribute));
    if (misplaced.length > 0 && !isDefault(element)) this.noticed.push(rootNotice(misplaced));
    this.root = {
      kind: 'group',
      name,
      opacity: 1,
      visible: true,
      blend: 'src-over',
      x: 0,
      y: 0,
      isolated: true,
      children: [],
    };
    this.stacks.push({ group: this.root, x: 0, y: 0, shown: true });
  }

  private enterGroup(element: Element): void {
    const parent = this.parent();
    const own = entryAttributes(element, parent.shown);
    const isolate = oneOf(element, 'isolation', ['auto', 'isolate'], 'auto') === 'isolate';
    const isolated = isolate || own.opacity < 1 || own.blend !== 'src-over';
    const group: StackGroup = { kind: 'group', ...own, isolated, children: [] };
    parent.group.children.push(group);
    this.stacks.push({
      group,
      x: parent.x + own.x,
      y: parent.y + own.y,
      shown: parent.shown && own.visible,
    });
  }

  private addLayer(element: Element): void {
    const parent = this.parent();
    const own = entryAttributes(element, parent.shown);
    const { src } = element.attributes;
    if (src === undefined || src === '') {
      throw damaged(
        this.file,
        `stack.xml line ${element.line}, ${element.called}: it names no picture (src)`,
      );
    }
    this.layers += 1;
    if (this.layers > stackLimits.layers)
      throw unsafe(this.file, `stack.xml holds more than ${stackLimits.layers} layers`);
    parent.group.children.push({ kind: 'layer', ...own, x: parent.x + own.x, y: parent.y + own.y, src });
  }

  private parent(): OpenStack {
    const parent = this.stacks.at(-1);
    if (parent === undefined) throw damaged(this.file, 'stack.xml holds a layer outside every stack');
    return parent;
  }
}

function count(counts: Map<string, number>, name: string): void {
  counts.set(name, (counts.get(name) ?? 0) + 1);
}

function isDefault(element: Element): boolean {
  const own = entryAttributes(element, false);
  const plainMode = (element.attributes['composite-op'] ?? 'svg:src-over') === 'svg:src-over';
  return own.opacity === 1 && own.visible && plainMode && own.x === 0 && own.y === 0;
}

function unsafe(file: string, what: string): PlatehandError {
  return new PlatehandError('archive-unsafe', what, 'Save the page again, with fewer layers or as TIFF', {
    place: { file },
  });
}
