import { type MemoryRequest, requestBits } from "../../src/model/index.js";
import { type Derived, STRUCTURES } from "../../src/structures/index.js";

/** Parameters as they stand in a design file. */
export type Written = Readonly<Record<string, unknown>> & { readonly kind: string };

function definitionOf(written: Written) {
  const definition = STRUCTURES.find((s) => s.kind === written.kind);
  if (definition === undefined) throw new Error(`no structure of kind ${written.kind}`);
  return definition;
}

/** What a structure derives; throws with the schema's messages where the parameters are not legal. */
export function build(written: Written): Derived {
  const definition = definitionOf(written);
  return definition.derive(definition.schema.parse({ name: "x", ...written }));
}

/** One of the derived memories, by the part after the structure's name. */
export function part(derived: Derived, name: string): MemoryRequest {
  const found = derived.requests.find((request) => request.name === `x.${name}`);
  if (found === undefined) throw new Error(`no part ${name} in ${derived.requests.map((r) => r.name)}`);
  return found;
}

/** Bits of all memories, all instances. */
export function allBits(requests: readonly MemoryRequest[]): number {
  return requests.reduce((sum, request) => sum + requestBits(request) * request.instances, 0);
}

/** Depth, width and instances in short: `2 of 256x22`. */
export function shapeOf(request: MemoryRequest): string {
  return `${request.instances} of ${request.depth}x${request.width}`;
}

/** Problems of illegal parameters as `path: message`; [] where they are legal. */
export function problems(written: Written): string[] {
  const result = definitionOf(written).schema.safeParse({ name: "x", ...written });
  return result.success
    ? []
    : result.error.issues.map((issue) => `${issue.path.join(".")}: ${issue.message}`);
}
