import { contour, stroke, type Touch } from './brush.js';
import { type Hex, packed } from './colour.js';
import { box, type Outline, type Pt } from './geometry.js';
import { fillRegion, type Grid, intersection, type Region, regionOf } from './region.js';
import { along, around, beamed, blurred, type Coverage, SoftMaps } from './soft-maps.js';

/** Page units in an inch. */
const unitsPerInch = 100;

/** The soft maps hold one value for each square of this many pixels. */
export const softStep = 4;

export const paper = 255;

export interface Form {
  readonly fill: Hex;
  /** Weight of the inked contour in page units; 0 leaves the shape without line. */
  readonly ink?: number;
}

/**
 * One page while it is drawn: flats, inks, soft colour and lettering, all filled from the same geometry, so that the
 * colour lies exactly under the line. What is drawn later lies in front and hides what is behind it, in every layer.
 */
export class Sheet {
  readonly grid: Grid;
  readonly soft: SoftMaps;
  /** Red, green and blue packed in one number for each pixel. */
  readonly flats: Uint32Array;
  /** 0 ink, 255 paper. */
  readonly ink: Uint8Array;
  /** 0 nothing, otherwise 1 + index into `letterColours`; index 0 is the black of the letters. */
  readonly letters: Uint8Array;
  readonly letterColours: Hex[] = ['#000000'];
  /** Way of the light, of length 1: contours are heavier where it does not reach. */
  light: Pt = [0.6, 0.8];
  private clips: Region[] = [];
  private softClips: Region[] = [];
  private strokes = 0;

  constructor(
    readonly width: number,
    readonly height: number,
    readonly ppi: number,
  ) {
    const scale = ppi / unitsPerInch;
    this.grid = { width: Math.round(width * scale), height: Math.round(height * scale), scale };
    this.soft = new SoftMaps({
      width: Math.ceil(this.grid.width / softStep),
      height: Math.ceil(this.grid.height / softStep),
      scale: scale / softStep,
    });
    const pixels = this.grid.width * this.grid.height;
    this.flats = new Uint32Array(pixels).fill(0xffffff);
    this.ink = new Uint8Array(pixels).fill(paper);
    this.letters = new Uint8Array(pixels);
  }

  /** Draws only inside a shape: a panel, or the thing that is being shaded. */
  within(outline: Outline, draw: () => void): void {
    this.clips.push(this.region(outline));
    this.softClips.push(this.softRegion(outline));
    draw();
    this.clips.pop();
    this.softClips.pop();
  }

  /** A solid shape with its contour in ink. */
  form(outline: Outline, { fill, ink = 1.6 }: Form): void {
    const region = this.region(outline);
    fillRegion(this.flats, this.grid.width, region, packed(fill));
    fillRegion(this.ink, this.grid.width, region, paper);
    this.soft.erase(this.softRegion(outline));
    if (ink > 0) this.contour(outline, ink);
  }

  /** Colour alone: the ink stays as it is. Cel shadows, lights and colour holds. */
  tint(outline: Outline, fill: Hex): void {
    fillRegion(this.flats, this.grid.width, this.region(outline), packed(fill));
  }

  /** A spotted black, with a dark colour beneath it. */
  black(outline: Outline, under: Hex): void {
    const region = this.region(outline);
    fillRegion(this.flats, this.grid.width, region, packed(under));
    fillRegion(this.ink, this.grid.width, region, 0);
    this.soft.erase(this.softRegion(outline));
  }

  contour(outline: Outline, weight: number): void {
    for (const ribbon of contour(outline, weight, this.light, ++this.strokes)) this.inkOnly(ribbon);
  }

  stroke(way: Outline, touch: Touch): void {
    this.inkOnly(stroke(way.points, { seed: ++this.strokes, ...touch }));
  }

  /** Takes ink away along a stroke: a highlight scratched out of black. */
  scratch(way: Outline, touch: Touch): void {
    const region = this.region(stroke(way.points, { seed: ++this.strokes, ...touch }));
    fillRegion(this.ink, this.grid.width, region, paper);
  }

  /** A stroke in colour, without ink. */
  colourStroke(way: Outline, touch: Touch, colour: Hex): void {
    this.tint(stroke(way.points, { seed: ++this.strokes, ...touch }), colour);
  }

  inkOnly(outline: Outline): void {
    fillRegion(this.ink, this.grid.width, this.region(outline), 0);
  }

  paperOnly(outline: Outline): void {
    fillRegion(this.ink, this.grid.width, this.region(outline), paper);
  }

  gradient(outline: Outline, colour: Hex, from: Pt, to: Pt, start: number, end: number): void {
    this.soft.layWash(this.softRegion(outline), colour, along(from, to, start, end));
  }

  /** A round, soft patch of colour on a shape. */
  bloom(outline: Outline, colour: Hex, centre: Pt, rx: number, strength: number, ry = rx): void {
    this.soft.layWash(this.softRegion(outline), colour, around(centre, rx, strength, ry));
  }

  /** Paint of any coverage within a shape. */
  wash(outline: Outline, colour: Hex, coverage: Coverage): void {
    this.soft.layWash(this.softRegion(outline), colour, coverage);
  }

  /** A shape with soft edges, washed over what is there. */
  mist(outline: Outline, colour: Hex, blur: number, strength: number): void {
    this.soft.layWash(this.everywhere(), colour, this.blur(outline, blur, strength));
  }

  shadow(outline: Outline, colour: Hex, blur: number, strength: number): void {
    this.soft.layShadow(this.everywhere(), colour, this.blur(outline, blur, strength));
  }

  shade(outline: Outline, colour: Hex, from: Pt, to: Pt, start: number, end: number): void {
    this.soft.layShadow(this.softRegion(outline), colour, along(from, to, start, end));
  }

  glow(centre: Pt, rx: number, colour: Hex, strength: number, ry = rx): void {
    const area = box(centre[0] - rx, centre[1] - ry, 2 * rx, 2 * ry);
    this.soft.layGlow(this.softRegion(area), colour, around(centre, rx, strength, ry));
  }

  glowShape(outline: Outline, colour: Hex, blur: number, strength: number): void {
    this.soft.layGlow(this.everywhere(), colour, this.blur(outline, blur, strength));
  }

  /** A beam of light from a lamp to where its light is at an end. */
  beam(from: Pt, to: Pt, spread: number, colour: Hex, strength: number): void {
    this.soft.layGlow(this.everywhere(), colour, beamed(from, to, spread, strength));
  }

  /** A soft stroke of light along an edge. Like glow and sparks it lies over the inks where a page comes in layers. */
  rim(way: Outline, touch: Touch, colour: Hex, blur: number, strength: number): void {
    const ribbon = stroke(way.points, { seed: ++this.strokes, ...touch });
    this.soft.layRim(this.everywhere(), colour, this.blur(ribbon, blur, strength));
  }

  spark(centre: Pt, r: number, colour: Hex, strength = 1): void {
    const area = box(centre[0] - r, centre[1] - r, 2 * r, 2 * r);
    this.soft.laySpark(this.softRegion(area), colour, around(centre, r, strength));
  }

  /** Lettering lies in front of everything and keeps its own layer. */
  letter(outline: Outline, colour: Hex): void {
    let index = this.letterColours.indexOf(colour);
    if (index < 0) index = this.letterColours.push(colour) - 1;
    fillRegion(this.letters, this.grid.width, this.region(outline), index + 1);
  }

  private everywhere(): Region {
    return this.softRegion(box(0, 0, this.width, this.height));
  }

  private blur(outline: Outline, radius: number, strength: number): Coverage {
    return blurred(regionOf(outline, this.soft.grid), this.soft.grid, radius, strength);
  }

  private region(outline: Outline): Region {
    return this.clips.reduce(intersection, regionOf(outline, this.grid));
  }

  private softRegion(outline: Outline): Region {
    return this.softClips.reduce(intersection, regionOf(outline, this.soft.grid));
  }
}
