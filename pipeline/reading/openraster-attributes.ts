import { type BlendMode, blendModes } from '../model/working-page.js';
import { damaged, unsupported } from './byte-source.js';

/** Attributes of one element of stack.xml, with what messages need to say where it stands. */
export interface Element {
  /** Name of the OpenRaster file. */
  readonly file: string;
  /** Line of stack.xml. */
  readonly line: number;
  /** `layer "inks"`, or the element's name where it has none. */
  readonly called: string;
  readonly attributes: Readonly<Record<string, string>>;
}

/** Farther out than any canvas reaches; keeps sums of offsets exact. */
const maxOffset = 1_000_000;

/** Attributes that layers and stacks share (layer stack specification, 'Common attributes'). */
export interface EntryAttributes {
  readonly name: string;
  readonly opacity: number;
  readonly visible: boolean;
  readonly blend: BlendMode;
  readonly x: number;
  readonly y: number;
}

/**
 * Reads the common attributes with their defaults.
 * @param shown whether what contains the element is visible: what nobody sees may use what nobody knows
 * @throws PlatehandError `picture-unreadable` for values outside the specification, `picture-unsupported` for an
 *   unknown composite-op
 */
export function entryAttributes(element: Element, shown: boolean): EntryAttributes {
  const visible = oneOf(element, 'visibility', ['visible', 'hidden'], 'visible') === 'visible';
  return {
    name: element.attributes.name ?? '',
    opacity: opacity(element),
    visible,
    blend: blendMode(element, shown && visible),
    x: offset(element, 'x'),
    y: offset(element, 'y'),
  };
}

function opacity(element: Element): number {
  const text = element.attributes.opacity;
  if (text === undefined) return 1;
  const value = /^\s*[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?\s*$/.test(text) ? Number(text) : Number.NaN;
  // Programs that count in 32-bit floats write 1.0000001 for 1.
  if (value > -1e-6 && value < 1 + 1e-6) return Math.min(1, Math.max(0, value));
  throw wrongValue(element, 'opacity', 'a number from 0.0 to 1.0');
}

function blendMode(element: Element, shown: boolean): BlendMode {
  const text = element.attributes['composite-op'];
  if (text === undefined) return 'src-over';
  const known = blendModes.find((mode) => text === `svg:${mode}`);
  if (known !== undefined) return known;
  if (!shown) return 'src-over';
  throw unsupported(
    element.file,
    `${element.called} uses the composite-op "${text}", which OpenRaster does not know`,
    'Choose another blend mode for it, or merge it down, and save again',
  );
}

function offset(element: Element, attribute: 'x' | 'y'): number {
  const text = element.attributes[attribute];
  if (text === undefined) return 0;
  const value = /^\s*[+-]?\d+(\.0*)?\s*$/.test(text) ? Number(text) : Number.NaN;
  if (Math.abs(value) <= maxOffset) return value === 0 ? 0 : value;
  throw wrongValue(element, attribute, `a whole number of pixels, at most ${maxOffset}`);
}

/** A positive whole number; undefined where the attribute is absent. */
export function positiveInteger(element: Element, attribute: string): number | undefined {
  const text = element.attributes[attribute];
  if (text === undefined) return undefined;
  const value = /^\s*\+?\d{1,9}\s*$/.test(text) ? Number(text) : Number.NaN;
  if (value >= 1) return value;
  throw wrongValue(element, attribute, 'a whole number of at least 1');
}

/** One of the words that the specification allows. */
export function oneOf(
  element: Element,
  attribute: string,
  words: readonly string[],
  otherwise: string,
): string {
  const text = element.attributes[attribute] ?? otherwise;
  if (words.includes(text)) return text;
  throw wrongValue(element, attribute, words.join(' or '));
}

function wrongValue(element: Element, attribute: string, expected: string): Error {
  const given = JSON.stringify(element.attributes[attribute]);
  return damaged(
    element.file,
    `stack.xml line ${element.line}, ${element.called}: ${attribute} is ${given}, expected ${expected}`,
  );
}
