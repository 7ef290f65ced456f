import { visible } from '../../config/visible-text.js';

/**
 * HTML that is put together by tagged templates which escape every text. What is HTML already has a type of its own, so that a text
 * cannot pass for it by mistake. Written out here: it takes few lines, and a package would be one more thing to be trusted with names
 * that strangers choose.
 */

/** A piece of HTML, escaped already. */
export interface Html {
  readonly html: string;
}

/** What a template takes; nothing is made of `undefined`. */
export type HtmlPart = string | number | Html | undefined | readonly HtmlPart[];

const escapes: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/** Whether nothing in a text is to be written otherwise: most are plain, which this tells quickest. */
const plain = /^[ !#-%(-;=?-~]*$/;

/** A text as it may stand in HTML, also between quotation marks; characters that are not seen, or turn the text, are written out. */
function escaped(text: string): string {
  return plain.test(text) ? text : visible(text).replace(/[&<>"']/g, (one) => escapes[one]);
}

function written(part: HtmlPart): string {
  if (part === undefined) return '';
  if (typeof part === 'string') return escaped(part);
  if (typeof part === 'number') return String(part);
  return 'html' in part ? part.html : part.map(written).join('');
}

/** A template: its own text stands as it is, everything else is escaped. */
export function html(template: TemplateStringsArray, ...parts: readonly HtmlPart[]): Html {
  let text = template[0];
  for (const [at, part] of parts.entries()) text += written(part) + template[at + 1];
  return { html: text };
}

/** Text of our own that is no HTML for the parser, such as a style sheet. It must not come from anywhere else. */
export function ownText(text: string): Html {
  return { html: text };
}

/** Letters, digits and signs that all run from left to right. */
const latin = /^[ -~]*$/;

/**
 * A text that others have chosen, kept apart from what stands around it: letters that run from right to left would turn numbers and
 * brackets beside them. Most texts are plain and need nothing.
 */
export function apart(text: string, name?: string): Html {
  const named = name === undefined ? undefined : html` class="${name}"`;
  if (named === undefined && latin.test(text)) return html`${text}`;
  return html`<bdi${named}>${text}</bdi>`;
}

/** A path as a relative address: each step percent-encoded. */
export function address(path: string): string {
  return path.split('/').map(encodeURIComponent).join('/');
}

/** An id of the document: letters, digits and hyphens stay, all else is written as its number, so that different names stay different. */
export function idOf(...words: readonly (string | number)[]): string {
  const safe = (word: string) =>
    word.replace(/[^A-Za-z0-9-]/gu, (one) => `_${one.codePointAt(0)?.toString(16)}_`);
  return words.map((word) => safe(String(word))).join('.');
}
