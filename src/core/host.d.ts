/** The few members of the host that `src/` uses outside `node/` and `worklet/`, so that no DOM or Node types leak in. */
declare class TextDecoder {
  decode(bytes: Uint8Array): string;
}
declare function btoa(bytes: string): string;

declare const WebAssembly: {
  readonly Module: new (bytes: Uint8Array<ArrayBuffer>) => object;
  readonly Instance: new (module: object) => { readonly exports: object };
};
