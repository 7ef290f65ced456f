import { formatLength, formatSize } from '../config/figures.js';
import type { PrintSpec } from '../config/print-spec.js';
import { trimBoxPx } from '../config/print-spec.js';
import { type LengthUnit, mmToPx } from '../config/units.js';
import type { PageArena } from './kernels/page-arena.js';
import { severities } from './model/findings.js';
import type { NumberedPlace } from './model/places.js';
import type { Raster } from './model/raster.js';
import {
  box,
  canvasOf,
  drawRecurring,
  drawWithin,
  fill,
  ground,
  ink,
  line,
  type PxBox,
  place,
} from './sheets/drawing.js';
import { severityMarks } from './sheets/marks.js';
import { drawPins, pinMark } from './sheets/note-pins.js';
import { boxSample, drawBoxes } from './sheets/proof-boxes.js';
import { drawGridEdges } from './sheets/proof-grid.js';
import {
  drawLegend,
  foldLine,
  inkSample,
  type Legend,
  type LegendEntry,
  type LegendInk,
  legendPitch,
  planLegend,
  safeLine,
  trimLine,
  veil,
  veilSample,
} from './sheets/proof-guides.js';
import { drawSlug, type ProofSlug } from './sheets/proof-slug.js';

/** What a proof shows besides the page itself. */
export interface ProofOptions {
  /** Where trim and safe area are drawn; lengths in millimetres. */
  readonly spec: Pick<PrintSpec, 'trim' | 'bleedMm' | 'safeMm'>;
  /** Pixels per inch of the page picture. */
  readonly ppi: number;
  /** What the slug line says. */
  readonly slug: ProofSlug;
  /** Draws the fold in the middle. */
  readonly isSpread: boolean;
  /** Inks beside the process inks, as the legend shows them; default none. */
  readonly extraInks?: readonly LegendInk[];
  /** Findings as boxes over the page, and the slug's notes as pins; default neither. */
  readonly boxes?: readonly NumberedPlace[];
  /** Unit in which the labels speak; default mm. */
  readonly units?: LengthUnit;
}

/** Everything that is drawn, measured in pixels of the finished proof. */
interface ProofPlan {
  readonly width: number;
  /** Where the page picture lies: trim plus bleed. */
  readonly page: PxBox;
  readonly trim: PxBox;
  /** Safe distance inside the trim. */
  readonly safePx: number;
  /** Height of the slug's text, the measure of everything around the page. */
  readonly em: number;
  /** Width of guide lines. */
  readonly hair: number;
  readonly foldX: number | undefined;
  /** Slug and legend keep to the trim's width, or to the proof's where the page is narrower than its words. */
  readonly textLeft: number;
  readonly legend: Legend;
}

/** A column of words is never narrower than this, in heights of the text: some 80 letters. Own choice. */
const leastColumn = 40;

function planProof(page: Raster, options: ProofOptions): ProofPlan {
  // 9 points at the proof's resolution, yet never too small to read on a screen. Our own choice.
  const em = Math.max(12, Math.round((9 / 72) * options.ppi));
  const margin = 4 * em;
  const edge = 3 * em;
  const width = Math.max(page.width + 2 * margin, leastColumn * em + 2 * edge);
  const left = Math.floor((width - page.width) / 2);
  const hair = Math.max(1, Math.round(options.ppi / 150));
  const trim = trimBoxPx(page, options.spec, options.ppi);
  const textLeft = trim.width < leastColumn * em ? edge : left + trim.left;
  const legend = planLegend(legendEntries(options, em, hair), textLeft, width - textLeft, em);
  const top = Math.round((5.2 + legendPitch * (legend.rows - 1)) * em);
  return {
    width,
    page: { left, top, width: page.width, height: page.height },
    trim: { ...trim, left: left + trim.left, top: top + trim.top },
    safePx: Math.round(mmToPx(options.spec.safeMm, options.ppi)),
    em,
    hair,
    foldX: options.isSpread ? left + trim.left + Math.round(trim.width / 2) - hair / 2 : undefined,
    textLeft,
    legend,
  };
}

/**
 * A page as it will print, on a neutral surround, with trim, safe area and fold marked and a slug line below.
 * @param page soft-proofed page in sRGB (rgb, 8 bit), trim plus bleed at `ppi`, width x height x 3
 * @returns the proof, rgb, 8 bit, larger than the page by its margins, allocated in the arena; the same input gives the same
 *   bytes
 */
export async function drawProof(page: Raster, options: ProofOptions, arena: PageArena): Promise<Raster> {
  const plan = planProof(page, options);
  const slugTop = plan.page.top + plan.page.height + Math.round(4.2 * plan.em);
  const slug = drawSlug(options.slug, {
    left: plan.textLeft,
    right: plan.width - plan.textLeft,
    top: slugTop,
    em: plan.em,
    hair: plan.hair,
  });
  const height = Math.ceil(slugTop + slug.height + 2 * plan.em);
  const canvas = canvasOf(plan.width, height, ground.proof, arena);
  place(canvas, page, plan.page.left, plan.page.top);
  const around = [drawGuides(plan), drawCornerMarks(plan), drawGridEdges(plan, options.spec.trim)];
  const { above, below, between } = windowsOf(plan, canvas.height);
  // All but the slug is the same on every page of a form and size.
  const same = [
    { shapes: [...around, drawLegend(plan.legend, plan.em)], window: above },
    ...between.map((window) => ({ shapes: around, window })),
  ];
  await drawRecurring(canvas, same, arena);
  await drawWithin(canvas, [{ shapes: [...around, ...slug.shapes], window: below }], arena);
  if (options.boxes !== undefined) {
    await drawBoxes(canvas, options.boxes, { ...plan, spec: options.spec, ppi: options.ppi }, arena);
    await drawPins(
      canvas,
      options.slug.notes ?? [],
      { ...plan, spec: options.spec, ppi: options.ppi },
      arena,
    );
  }
  return canvas;
}

/**
 * Where the trim of a page lies on its proof, in the proof's pixels.
 * @returns undefined where legend or slug reach beyond the trim: a page that is narrower than its words
 */
export function trimOnProof(page: Raster, options: ProofOptions): PxBox | undefined {
  const { trim, textLeft } = planProof(page, options);
  return textLeft < trim.left ? undefined : trim;
}

/**
 * Where there is something to draw: above and below the safe area, at both sides of it, and along the fold. What lies
 * inside is the page alone, most of the proof, and drawing nothing on it would take most of the time.
 */
function windowsOf(plan: ProofPlan, height: number): { above: PxBox; below: PxBox; between: PxBox[] } {
  const { width, trim, hair } = plan;
  // The safe line is a hair wide and lies inside the safe distance; the rest is for its soft edge.
  const inset = plan.safePx + 2 * hair + 2;
  const middle = Math.floor(trim.top + trim.height / 2);
  const top = Math.min(middle, trim.top + inset);
  const bottom = Math.max(middle, trim.top + trim.height - inset);
  const left = trim.left + inset;
  const right = trim.left + trim.width - inset;
  const column = (from: number, to: number) => ({ left: from, top, width: to - from, height: bottom - top });
  const fold = plan.foldX === undefined ? undefined : Math.floor(plan.foldX);
  const folded = fold === undefined ? [] : [column(fold - 2, fold + Math.ceil(hair) + 2)];
  const isNarrow = right - left < 8 * hair + 8;
  const columns = isNarrow ? [column(0, width)] : [column(0, left), ...folded, column(right, width)];
  return {
    above: { left: 0, top: 0, width, height: top },
    below: { left: 0, top: bottom, width, height: height - bottom },
    between: bottom > top ? columns : [],
  };
}

/** Path data of a rectangle that lies `outside` pixels around another. */
function around(area: PxBox, outside: number): string {
  return box(area.left - outside, area.top - outside, area.width + 2 * outside, area.height + 2 * outside);
}

/** Trim, safe area and fold. Each is dark and light at once, so that it shows on day and on night. */
function drawGuides(plan: ProofPlan): string {
  const { trim, page, hair } = plan;
  const veiled = fill(`${around(page, 0)}${counter(trim)}`, veil.colour, veil.opacity);
  const inside = -plan.safePx - hair / 2;
  const safe =
    Math.min(trim.width, trim.height) > 2 * plan.safePx ? safeLine(around(trim, inside), hair) : '';
  const fold = plan.foldX === undefined ? '' : foldLine(`M${plan.foldX} ${trim.top}v${trim.height}`, hair);
  return veiled + trimLine(around(trim, hair / 2), around(trim, 1.5 * hair), hair) + safe + fold;
}

/** A rectangle drawn the other way round: inside another one it is a hole by the non-zero rule. */
function counter(area: PxBox): string {
  return `M${area.left} ${area.top}v${area.height}h${area.width}v${-area.height}Z`;
}

/** Corner marks in line with the trim, and ticks at the fold; all outside the bleed. */
function drawCornerMarks(plan: ProofPlan): string {
  const { page, trim, em, hair } = plan;
  const gap = 0.5 * em;
  const length = 1.5 * em;
  const above = page.top - gap - length;
  const below = page.top + page.height + gap;
  const before = page.left - gap - length;
  const behind = page.left + page.width + gap;
  const columns = [trim.left - hair / 2, trim.left + trim.width + hair / 2];
  if (plan.foldX !== undefined) columns.push(plan.foldX);
  const rows = [trim.top - hair / 2, trim.top + trim.height + hair / 2];
  const upright = columns.map((x) => `M${x} ${above}v${length}M${x} ${below}v${length}`);
  const flat = rows.map((y) => `M${before} ${y}h${length}M${behind} ${y}h${length}`);
  return line([...upright, ...flat].join(''), { stroke: ink.strong, width: hair });
}

/** What each line means, with a sample of it, in the job's unit. */
function legendEntries(
  { spec, units = 'mm', isSpread, extraInks = [], boxes, slug }: ProofOptions,
  em: number,
  hair: number,
): LegendEntry[] {
  const sample = (x: number, y: number) => `M${x} ${y - 0.32 * em}h${2.4 * em}`;
  const entries = [
    {
      words: `trim ${formatSize(spec.trim, units)}`,
      draw: (x: number, y: number) => trimLine(sample(x, y), sample(x, y - hair), hair),
    },
    {
      words: `safe, ${formatLength(spec.safeMm, units)} inside`,
      draw: (x: number, y: number) => safeLine(sample(x, y), hair),
    },
    {
      words: `bleed ${formatLength(spec.bleedMm, units)}, veiled`,
      draw: (x: number, y: number) => veilSample(x, y, em),
    },
  ];
  const fold = { words: 'fold', draw: (x: number, y: number) => foldLine(sample(x, y), hair) };
  const inks = extraInks.map(({ words, rgb }) => {
    return { words, draw: (x: number, y: number) => inkSample(rgb, x, y, em) };
  });
  const found = new Set(boxes?.map(({ severity }) => severity));
  const boxed = severities.toReversed().filter((severity) => found.has(severity));
  const findings = boxed.map((severity) => {
    const words = `${severityMarks[severity].word.toLowerCase()}, as listed below`;
    return { words, draw: (x: number, y: number) => boxSample(severity, x, y, em, hair) };
  });
  const isPinned = boxes !== undefined && slug.notes?.some(({ place }) => place !== undefined);
  const notes = {
    words: 'editor\u2019s note, as listed below',
    draw: (x: number, y: number) =>
      pinMark({ number: 1, state: 'open' }, { x: x + 1.2 * em, y: y - 0.3 * em, em }),
  };
  return [...entries, ...(isSpread ? [fold] : []), ...inks, ...findings, ...(isPinned ? [notes] : [])];
}
