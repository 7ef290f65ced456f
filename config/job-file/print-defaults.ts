import { processInkNames } from '../print-spec.js';

/**
 * Defaults of the `print` section of job.yaml. They stand here once; the schema's descriptions, the commented job.yaml of
 * `platehand new` and resolve-spec.ts all take them from here. What each setting means stands in print-spec.ts.
 */
export const printDefaults = {
  /** Pixels per inch. Twice a screen of 150 lines per inch, usual for coated paper: support.hp.com, document bpp03665. */
  colourPpi: 300,
  /** Pixels per inch. Line art is asked for at 600 to 1200: toryokohsoku.com/dtp; Princeton Alumni Weekly's specification. */
  linePpi: 600,
  /** Pixels per inch, or colourPpi where that is less. Common practice for proofs on a screen, no published source. */
  proofPpi: 120,
  /** A page prints in all process inks unless its kind is printed in black. */
  inks: processInkNames,
  /** Colours that the press reaches stay as they were painted. Common practice, no published source. */
  intent: 'relative',
  /** Proofs of one issue on several papers are easier to compare on white. */
  proofPaperWhite: false,
  /** Whoever looks at a proof looks for what is wrong. Own choice. */
  proofBoxes: true,
  /** What programs commonly mean when they write no profile. */
  untagged: 'srgb',
  /** A page painted too small is a mistake until somebody says that it is not. */
  allowEnlarging: false,
  /** Percent. Common practice, no published source: half covered is ink; the rest leaves room for scanner noise and JPEG. */
  line: { threshold: 50, blackLevel: 24, blackChroma: 10, lift: true, liftLevel: 15 },
  /**
   * Percent of cyan, magenta and yellow: common practice for rich black, no published source. A choke of 0.25 mm is twice
   * the register that sheet-fed offset keeps (0.10 mm between two colours, ISO 12647-2:2013 second-hand); 2 mm keeps
   * lettering and lines free of it.
   */
  support: { enabled: true, ink: [60, 40, 40], chokeMm: 0.25, minWidthMm: 2 },
  /**
   * CIEDE2000. Common practice, no published source: some 3 are seen side by side; 10 is another colour. An edge of 8 is seen
   * from reading distance, while the step from black ink alone to black with support ink stays below. Our own choice.
   */
  fidelity: { warn: 3, stop: 10, edge: 8 },
  /**
   * Off: the printer decides whether more black is wanted. CIEDE2000 of 1 is about what an eye can just tell (common practice, no
   * published source); light skin half of that and without any black that was not there, whose dots would show. Own choice.
   */
  inkSaving: { enabled: false, most: 1, skin: 0.5, skinBlack: 0 },
  /** A spread is one picture until the printer asks for single pages. Common practice, no published source. */
  spreads: 'whole',
  /** The newer form; a printer whose machines are older asks for the other. Our own choice. */
  pdf: 'x-4',
  /** Printers that impose pages set their own marks, and ask for pages without. Common practice, no published source. */
  marks: false,
  /** Line laid over the plates at its own resolution prints sharper; whoever takes plates alone asks for it. Own choice. */
  blackPlate: 'withoutLine',
  /** A figure from a table is no printer's word. */
  inkLimitConfirmed: false,
  /** Most printers ask for one file or for single ones: both are there. Our own choice. */
  issuePdf: true,
  /** The shortest pattern that tells issues and pages apart. */
  naming: '{issue}_{page}',
} as const;

/** Limits in millimetres, both ends included; checked after conversion from the job's unit, in spec-rules.ts. */
export const printLimitsMm = {
  /** A side of the trim. Common practice, no published source: smaller than any comic. */
  trimMin: 25,
  /** A side of the trim. Common practice, no published source: wider than any press a comic is printed on. */
  trimMax: 1200,
  /** 3 mm or 1/8 inch are usual, 1/4 inch and 5 mm occur; an inch is surely a slip. Common practice, no published source. */
  bleedMax: 25.4,
  /** How far support ink may be choked. Common practice, no published source. */
  chokeMax: 5,
  /** How far plates may be out of register. Common practice, no published source: a millimetre is a spoilt sheet. */
  plateShiftMax: 1,
  /** The widest black that may go without support ink. Common practice, no published source. */
  minWidthMax: 100,
} as const;
