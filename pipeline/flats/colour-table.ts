/**
 * Numbers for colours, from 0 on in the order in which they are met. A table of its own, since a page asks it half a million
 * times.
 */

/** More colours than this are no flats: soft edges between all flats of a page make some ten thousand. Own choice. */
const mostColours = 1 << 17;

/** Places, twice as many as colours, so that the way to a free one stays short. */
const places = 2 * mostColours;

/** Spreads colours over the places: 2^32 divided by the golden ratio, as multiplicative hashing takes it. */
const spreading = 0x9e3779b1;
const placeBits = 18;

/** Colours by number, and numbers by colour. */
export class ColourTable {
  count = 0;
  /** What each number stands for. */
  readonly keys = new Uint32Array(mostColours + 1);
  /** Number and 1 of the colour at each place; 0 where there is none. */
  private readonly numbers = new Uint32Array(places);

  /** Whether there were more colours than it holds; those beyond share a number. */
  get isFull(): boolean {
    return this.count >= mostColours;
  }

  /** The number of a colour, a new one where it was not met before. */
  numberOf(key: number): number {
    const place = this.placeOf(key);
    const known = this.numbers[place];
    if (known !== 0) return known - 1;
    if (this.isFull) return mostColours;
    this.keys[this.count] = key;
    this.numbers[place] = this.count + 1;
    return this.count++;
  }

  /** The number of a colour; -1 where it was not met. */
  find(key: number): number {
    return this.numbers[this.placeOf(key)] - 1;
  }

  /** Where a colour stands, or would. */
  private placeOf(key: number): number {
    let place = Math.imul(key, spreading) >>> (32 - placeBits);
    while (this.numbers[place] !== 0 && this.keys[this.numbers[place] - 1] !== key) {
      place = (place + 1) & (places - 1);
    }
    return place;
  }
}
