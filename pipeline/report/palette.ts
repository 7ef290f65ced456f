import type { Severity } from '../model/findings.js';

/** Colours of the report: neutral ground, so that it does not tint the eye's judgement of the pages; our own choice. */

/** What each colour is for, by light or dark. */
export interface Palette {
  readonly ground: string;
  /** Ground of what stands out a little: a table's head, a page that was gone to. */
  readonly raised: string;
  readonly text: string;
  readonly quiet: string;
  readonly link: string;
  /** Frames of parts that are operated, and the mark of what has the keyboard. */
  readonly frame: string;
  readonly focus: string;
  /** Frames that only part one thing from another. */
  readonly rule: string;
  readonly stop: string;
  readonly warn: string;
  readonly note: string;
  readonly done: string;
}

export const palettes = {
  light: {
    ground: '#ffffff',
    raised: '#f2f2f2',
    text: '#1a1a1a',
    quiet: '#595959',
    link: '#0b57d0',
    frame: '#767676',
    focus: '#0b57d0',
    rule: '#cfcfcf',
    stop: '#b3261e',
    warn: '#8a5a00',
    note: '#3f5a6b',
    done: '#1e6b32',
  },
  dark: {
    ground: '#121212',
    raised: '#222222',
    text: '#eeeeee',
    quiet: '#b5b5b5',
    link: '#8ab4f8',
    frame: '#8c8c8c',
    focus: '#8ab4f8',
    rule: '#3d3d3d',
    stop: '#f2b8b5',
    warn: '#f0c674',
    note: '#a9c7d9',
    done: '#9bd3a8',
  },
} as const satisfies Readonly<Record<'light' | 'dark', Palette>>;

/** Boxes lie on any art, by day and by night: a light line and a dark one, and between them the severity's. */
export const boxColours = {
  stop: '#e3170a',
  warn: '#ffb000',
  note: '#3aa0ff',
  change: '#c2369a',
} as const satisfies Readonly<Record<Severity | 'change', string>>;

/** Pins of editors' notes, as on proofs: set off from every severity. */
export const pinColour = '#6a2a9c';

/** Surround of pictures, light or dark alike: a neutral middle grey, as for looking at proofs. */
export const surround = '#808080';

/** Words for severities; a shape and a colour go with them, never a colour alone. */
export const severityWords = { stop: 'Stop', warn: 'Warning', note: 'Note' } as const satisfies Record<
  Severity,
  string
>;

/** The palette as variables of a style sheet. */
export function variables(palette: Palette): string {
  return Object.entries(palette)
    .map(([name, colour]) => `--${name}:${colour}`)
    .join(';');
}
