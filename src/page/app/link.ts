/** What a link to the page reproduces. */
export interface Linked {
  readonly text: string;
  /** null: the design's own. */
  readonly device: string | null;
}

/** Version of the form; an address with another is not read. */
const FORM = "d1.";

async function through(bytes: BlobPart, stream: GenericTransformStream): Promise<Uint8Array<ArrayBuffer>> {
  const piped = new Blob([bytes])
    .stream()
    .pipeThrough(stream as ReadableWritablePair<Uint8Array<ArrayBuffer>>);
  return new Uint8Array(await new Response(piped).arrayBuffer());
}

/** The state as the part of an address behind `#`: deflated JSON in base 64 for addresses. */
export async function toHash(state: Linked): Promise<string> {
  const bytes = await through(JSON.stringify(state), new CompressionStream("deflate-raw"));
  const letters = btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join(""));
  return FORM + letters.replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

/** Reads {@link toHash}'s form, with or without `#`; null for any other text. */
export async function fromHash(hash: string): Promise<Linked | null> {
  const text = hash.replace(/^#/, "");
  if (!text.startsWith(FORM)) return null;
  try {
    const letters = atob(text.slice(FORM.length).replaceAll("-", "+").replaceAll("_", "/"));
    const bytes = Uint8Array.from(letters, (letter) => letter.charCodeAt(0));
    const json = new TextDecoder().decode(await through(bytes, new DecompressionStream("deflate-raw")));
    const { text: design, device } = JSON.parse(json) as Partial<Linked>;
    if (typeof design !== "string") return null;
    return { text: design, device: typeof device === "string" ? device : null };
  } catch {
    return null;
  }
}
