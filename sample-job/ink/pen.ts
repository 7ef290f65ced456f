import type { Touch } from './brush.js';
import type { Hex } from './colour.js';
import {
  type Knot,
  line,
  moved,
  type Outline,
  type Place,
  type Placing,
  placing,
  shape,
} from './geometry.js';
import type { Sheet } from './sheet.js';

/** Draws in a thing's own space: places its points on the page, and keeps line weights those of the page. */
export class Pen {
  private readonly place: Place;

  constructor(
    readonly sheet: Sheet,
    where: Placing,
    /** Factor on every line weight, so that small figures keep fine lines. */
    readonly weight = 1,
    outer?: Place,
  ) {
    const inner = placing(where);
    this.place = outer === undefined ? inner : (point) => outer(inner(point));
  }

  /** A pen for a thing that sits on this one. */
  on(where: Placing, weight = this.weight): Pen {
    return new Pen(this.sheet, where, weight, this.place);
  }

  at(outline: Outline): Outline {
    return moved(outline, this.place);
  }

  form(outline: Outline, fill: Hex, ink = 1.6): Outline {
    const placed = this.at(outline);
    this.sheet.form(placed, { fill, ink: ink * this.weight });
    return placed;
  }

  solid(knots: readonly Knot[], fill: Hex, ink = 1.6): Outline {
    return this.form(shape(knots), fill, ink);
  }

  black(outline: Outline, under: Hex): Outline {
    const placed = this.at(outline);
    this.sheet.black(placed, under);
    return placed;
  }

  tint(outline: Outline, fill: Hex): void {
    this.sheet.tint(this.at(outline), fill);
  }

  stroke(knots: readonly Knot[], weight = 1.2, touch: Omit<Touch, 'weight'> = {}): void {
    this.sheet.stroke(this.at(line(knots)), { weight: weight * this.weight, ...touch });
  }

  scratch(knots: readonly Knot[], weight = 1.2): void {
    this.sheet.scratch(this.at(line(knots)), { weight: weight * this.weight });
  }

  colour(knots: readonly Knot[], weight: number, fill: Hex): void {
    this.sheet.colourStroke(this.at(line(knots)), { weight: weight * this.weight }, fill);
  }

  ink(outline: Outline): void {
    this.sheet.inkOnly(this.at(outline));
  }

  /** Draws inside an outline that is already placed on the page. */
  within(placed: Outline, draw: () => void): void {
    this.sheet.within(placed, draw);
  }
}
