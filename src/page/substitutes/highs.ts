import loadHighs from "virtual:highs";
import wasm from "virtual:highs-wasm";

/** The bytes of a gzip archive in base 64. */
async function unpacked(base64: string): Promise<ArrayBuffer> {
  const bytes = Uint8Array.from(atob(base64), (character) => character.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream).arrayBuffer();
}

/** Stands in for the package `highs` in a page: its WebAssembly comes from the page, not from a file. */
export default async function load(): Promise<unknown> {
  const bytes = await unpacked(wasm);
  // Its loader asks for a file even where it is given the bytes as `wasmBinary` (1.15.3).
  return loadHighs({
    instantiateWasm(imports, receive) {
      void WebAssembly.instantiate(bytes, imports).then(({ instance }) => receive(instance));
    },
  });
}
