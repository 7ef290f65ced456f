/** What the reference test uses of fft.js, which brings no types. */
declare module 'fft.js' {
  class FFT {
    constructor(size: number);
    readonly size: number;
    transform(out: Float64Array, data: Float64Array): void;
  }
  export = FFT;
}
