/** Modules that src/page/build-page.js makes. */
declare module "virtual:devices" {
  const devices: readonly import("../model/index.js").Device[];
  export default devices;
}
declare module "virtual:highs" {
  const load: (options: {
    instantiateWasm(imports: WebAssembly.Imports, receive: (instance: WebAssembly.Instance) => void): void;
  }) => Promise<unknown>;
  export default load;
}
declare module "virtual:highs-wasm" {
  const gzippedBase64: string;
  export default gzippedBase64;
}
declare module "virtual:device-names" {
  const devices: readonly { readonly name: string; readonly family: string }[];
  export default devices;
}
declare module "virtual:packer" {
  const script: string;
  export default script;
}
