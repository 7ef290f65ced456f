/**
 * Defaults of the `print` section of job.yaml. They stand here once; the schema's descriptions, the commented job.yaml of
 * `platehand new` and resolve-spec.ts all take them from here.
 */
export const printDefaults = {
  // Twice a screen of 150 lines per inch, usual for coated paper: support.hp.com, document bpp03665.
  colourPpi: 300,
  // 600 to 1200 ppi are asked for line art: toryokohsoku.com/dtp; Princeton Alumni Weekly's specification.
  linePpi: 600,
  // Common practice for proofs that are read on a screen, no published source.
  proofPpi: 120,
  intent: 'relative',
  proofPaperWhite: false,
  untagged: 'srgb',
  allowEnlarging: false,
  // Common practice, no published source: half covered is ink; levels and chroma leave room for scanner noise and JPEG.
  line: { threshold: 50, blackLevel: 24, blackChroma: 10, lift: true, liftLevel: 15 },
  // Common practice for rich black (60/40/40), no published source. A choke of 0.25 mm is twice the register that sheet-fed
  // offset keeps (0.10 mm between two colours, ISO 12647-2:2013 second-hand); 2 mm keeps lettering and lines free of it.
  support: { enabled: true, ink: [60, 40, 40], chokeMm: 0.25, minWidthMm: 2 },
  naming: '{issue}_{page}',
} as const;

/** Limits that depend on the unit and are therefore checked after conversion to millimetres, in spec-rules.ts. */
export const printLimitsMm = {
  // Common practice, no published source: smaller than any comic, and wider than any press a comic is printed on.
  trimMin: 25,
  trimMax: 1200,
  // 3 mm or 1/8 inch are usual, 1/4 inch and 5 mm occur; an inch is surely a slip. Common practice, no published source.
  bleedMax: 25.4,
  // Common practice, no published source.
  chokeMax: 5,
  minWidthMax: 100,
} as const;
