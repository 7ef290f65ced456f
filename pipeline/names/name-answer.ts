/** One question about a name, such as which page it is: answered with the rule that decided, doubtful, or not asked. */
export type Answer<T> =
  | { readonly kind: 'certain'; readonly value: T; readonly rule: string }
  | {
      readonly kind: 'doubtful';
      readonly rule: string;
      readonly maybe: readonly string[];
      readonly advice: string;
    }
  | { readonly kind: 'silent' };

export const rename = 'Rename it so that it tells one page, such as p07';

export const doubtful = (rule: string, maybe: readonly string[] = [], advice = rename) =>
  ({ kind: 'doubtful', rule, maybe, advice }) as const;

export const quoted = (texts: Iterable<string>): string =>
  [...texts].map((text) => `"${text}"`).join(' and ');
export const listed = (pages: Iterable<string>): string => [...pages].join(' and ');
