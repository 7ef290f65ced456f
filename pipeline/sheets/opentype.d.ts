/** The few calls of opentype.js that platehand uses; version 2 of the package brings no types. */
declare module 'opentype.js' {
  interface PathCommand {
    readonly type: 'M' | 'L' | 'Q' | 'C' | 'Z';
    readonly x?: number;
    readonly y?: number;
    readonly x1?: number;
    readonly y1?: number;
    readonly x2?: number;
    readonly y2?: number;
  }

  interface Glyph {
    readonly index: number;
    /** In font units. */
    readonly advanceWidth?: number;
    /** The outline with its origin at x, y (baseline) and the y axis pointing down. */
    getPath(x: number, y: number, fontSize: number): { readonly commands: readonly PathCommand[] };
  }

  interface Font {
    readonly unitsPerEm: number;
    /** The font's `kern` table: `left,right` glyph indices to an adjustment in font units. */
    readonly kerningPairs: Readonly<Record<string, number>>;
    readonly glyphs: { get(index: number): Glyph };
    /** Glyph index of a character, 0 where the font has none. */
    charToGlyphIndex(character: string): number;
  }

  const opentype: {
    /** @param options.lowMemory reads glyphs when they are asked for instead of all at once */
    parse(buffer: ArrayBuffer, options?: { readonly lowMemory?: boolean }): Font;
  };
  export = opentype;
}
