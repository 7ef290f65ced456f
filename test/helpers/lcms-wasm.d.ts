/** Types of the few calls that the tests make of lcms-wasm, Little CMS compiled for the web; it brings none. */
declare module 'lcms-wasm' {
  export interface LittleCms {
    cmsOpenProfileFromMem(bytes: Uint8Array, length: number): number;
    cmsCreate_sRGBProfile(): number;
    cmsCreateLab4Profile(whitePoint?: number[]): number;
    cmsCreateTransform(
      from: number,
      fromFormat: number,
      to: number,
      toFormat: number,
      intent: number,
      flags: number,
    ): number;
    cmsDoTransform(transform: number, pixels: Float32Array, count: number): Float32Array;
    cmsDeleteTransform(transform: number): void;
  }
  export function instantiate(): Promise<LittleCms>;
}
