/** What is used of the WebAssembly JavaScript Interface, which Node.js has and its types leave to browsers. */
declare namespace WebAssembly {
  class Module {
    constructor(bytes: Uint8Array);
  }
  class Instance {
    constructor(module: Module, imports?: Record<string, Record<string, unknown>>);
    readonly exports: Readonly<Record<string, unknown>>;
  }
  class Memory {
    /** Sizes in pages of 64 KB. */
    constructor(size: { readonly initial: number; readonly maximum: number });
    readonly buffer: ArrayBuffer;
  }
}
