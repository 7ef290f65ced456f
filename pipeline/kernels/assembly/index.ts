export { countBits, coverageOfHalves, growBits, packRows, setRows, unpackRows } from './bits';
export { differencesOfFour, differencesOfOne } from './differences';
export { thinBits } from './discs';
export { sweepDown, sweepUp, wholeThirds } from './distances';
export { markEdges } from './faces';
export { unfilterRows } from './filters';
export { halveAcross, halveDown } from './halves';
export { bitsOfBoth, bitsOfEither, bitsWithout } from './joined';
export { addLine, isPaper, listDoubtful, listLine, splitLine } from './line';
export { paperOfShut, paperTile } from './paper';
export {
  countGrey,
  invert,
  joinFour,
  layOver,
  mostOfFour,
  overprint,
  splitFour,
  sumOf,
} from './planes';
export { fillRings } from './rings';
export { mostOfStretches, repeatRuns, splitRuns, squeeze } from './runs';
export { spreadTile } from './spread';
export { countStrokes, lookAt } from './strokes';
export { lookUp } from './tetrahedra';
export {
  addTile,
  darkenTile,
  differenceTile,
  hardLightTile,
  layOnShut,
  layTile,
  lightenTile,
  multiplyTile,
  openTile,
  screenTile,
  shutTile,
} from './tiles';
export { tonesOf } from './tones';
export { markUnlike } from './unlike';

/** Where the memory begins that belongs to the caller, on an even start for vectors. */
export function memoryStart(): usize {
  return (__heap_base + 63) & ~63;
}
