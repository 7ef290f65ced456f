import { type DefaultTreeAdapterTypes, parse } from 'parse5';

type Node = DefaultTreeAdapterTypes.Node;

/** An element as tests ask for it. */
export interface ParsedElement {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string | undefined>>;
  /** Its text and that of all that is in it, as a reader sees it. */
  readonly text: string;
  readonly children: readonly ParsedElement[];
}

/** A document as the HTML standard has it read. */
export interface ParsedHtml {
  /** What the parser had to put right, such as `duplicate-attribute at 7`. */
  readonly problems: readonly string[];
  /** All elements, in the order of the document. */
  readonly elements: readonly ParsedElement[];
  /** Text of the body, without scripts. */
  readonly text: string;
  all(name: string): readonly ParsedElement[];
}

/** Parses a document with a parser that follows the standard (WHATWG HTML, section 13.2). */
export function parsedHtml(html: string): ParsedHtml {
  const problems: string[] = [];
  const onParseError = ({ code, startLine }: { code: string; startLine: number }) =>
    problems.push(`${code} at ${startLine}`);
  const document = parse(html, { onParseError, sourceCodeLocationInfo: false });
  const elements: ParsedElement[] = [];
  const root = elementsIn(document, elements);
  const body = elements.find(({ name }) => name === 'body');
  if (body === undefined || root.length === 0) throw new Error('there is no body');
  return { problems, elements, text: body.text, all: (name) => elements.filter((one) => one.name === name) };
}

function elementsIn(node: Node, into: ParsedElement[]): ParsedElement[] {
  if (!('childNodes' in node)) return [];
  return node.childNodes.flatMap((child) => {
    if (!('tagName' in child)) return [];
    const at = into.length;
    const attributes = Object.fromEntries(child.attrs.map(({ name, value }) => [name, value]));
    const found = { name: child.tagName, attributes, text: textOf(child), children: [] as ParsedElement[] };
    into[at] = found;
    found.children.push(...elementsIn(child, into));
    return [found];
  });
}

function textOf(node: Node): string {
  if ('value' in node && node.nodeName === '#text') return node.value;
  if (!('childNodes' in node) || node.nodeName === 'script' || node.nodeName === 'style') return '';
  return node.childNodes.map(textOf).join('');
}
