import type { Design, MemoryRequest, SourceRange, Warning } from "../model/index.js";
import { STRUCTURES } from "../structures/index.js";
import { limitRules } from "./design-rules.js";
import { type DesignFile, designSchema, requestOf } from "./design-schema.js";
import { type Diagnostic, InputError, type Source } from "./diagnostics.js";
import { groupRules } from "./group-rules.js";
import { MAX_NAME } from "./limits.js";
import { type Located, type Problem, problem } from "./located.js";
import { idlePump, pumpProblems } from "./pump-rules.js";
import { readSource } from "./read-source.js";
import { inOrder, type Ranges, readYaml } from "./read-yaml.js";

/** Bits up to which a memory may go to registers, where the design does not say. */
const DEFAULT_REGISTER_BITS = 512;

/** A name in a design that only a device can confirm: a pool, `LUT` or `registers`. */
export interface HomeName {
  readonly key: "available" | "weights" | "in";
  readonly name: string;
  readonly range: SourceRange | null;
}

/** A design that was read without errors. Its warnings are in `design.warnings`. */
export interface DesignRead {
  readonly ok: true;
  readonly design: Design;
  readonly source: Source;
  /** The file as it follows its form: sizes in bits, defaults filled in. */
  readonly file: DesignFile;
  /** Names to check against the device, in the order of the file. */
  readonly homeNames: readonly HomeName[];
  /** Where the design names its device; null: it names none. */
  readonly deviceRange: SourceRange | null;
}

/** A design, or all that is wrong with it. */
export type ReadDesign = DesignRead | { readonly ok: false; readonly diagnostics: readonly Diagnostic[] };

interface Gathered {
  readonly located: readonly Located[];
  readonly warnings: readonly Warning[];
}

/** The requests of one list entry, each with the means to find its keys in the text. */
function locate(requests: readonly MemoryRequest[], path: readonly PropertyKey[], ranges: Ranges): Located[] {
  const source = ranges.rangeOf([...path, "name"]);
  const at = (key: string) => ranges.rangeOf([...path, key]) ?? source;
  return requests.map((request) => ({ request: { ...request, source }, at }));
}

/** All requests of a file, those written by hand first. */
function gather(file: DesignFile, ranges: Ranges): Gathered {
  const located = file.memories.flatMap((entry, i) => locate([requestOf(entry)], ["memories", i], ranges));
  const warnings: Warning[] = [];
  file.structures.forEach((parameters, i) => {
    const definition = STRUCTURES.find((s) => s.kind === parameters.kind);
    if (definition === undefined) throw new Error(`no structure of kind ${parameters.kind}`);
    const path = ["structures", i];
    const derived = definition.derive(parameters);
    const source = ranges.rangeOf([...path, "name"]);
    located.push(...locate(derived.requests, path, ranges));
    warnings.push(...derived.warnings.map((message) => ({ subject: parameters.name, message, source })));
    if (parameters.pump !== undefined && derived.requests.every(({ pump }) => pump === null)) {
      warnings.push(idlePump(parameters.name, ranges.rangeOf([...path, "pump"])));
    }
  });
  return { located, warnings };
}

/** Names of memories and structures that stand twice or are too long. */
function nameRules(file: DesignFile, ranges: Ranges): Problem[] {
  const seen = new Set<string>();
  const problems: Problem[] = [];
  for (const list of ["memories", "structures"] as const) {
    file[list].forEach(({ name }, i) => {
      const words = `expected a name of its own, found ${JSON.stringify(name)} again`;
      const range = ranges.rangeOf([list, i, "name"]);
      if (seen.has(name)) problems.push(problem("duplicate-name", range, words));
      if (name.length > MAX_NAME) {
        problems.push(
          problem("over-limit", range, `expected a name of at most ${MAX_NAME} characters, found more`),
        );
      }
      seen.add(name);
    });
  }
  return problems;
}

function homeNames(file: DesignFile, located: readonly Located[], ranges: Ranges): HomeName[] {
  const names: HomeName[] = [];
  for (const key of ["available", "weights"] as const) {
    for (const name of Object.keys(file[key]))
      names.push({ key, name, range: ranges.rangeOfKey([key, name]) });
  }
  file.memories.forEach((entry, i) => {
    if (entry.in === undefined) return;
    const path = ["memories", i, "in"];
    const listed = Array.isArray(entry.in);
    [entry.in].flat().forEach((name, j) => {
      names.push({ key: "in", name, range: ranges.rangeOf(listed ? [...path, j] : path) });
    });
  });
  for (const { request, at } of located.slice(file.memories.length)) {
    for (const name of request.homes ?? []) names.push({ key: "in", name, range: at("in") });
  }
  const told = new Set<string>();
  return names.filter(({ key, name, range }) => {
    const id = `${key} ${range?.start} ${name}`;
    return !told.has(id) && told.add(id);
  });
}

function designOf(file: DesignFile, { located, warnings }: Gathered): Design {
  const { LUT: luts = null, ...blocks } = file.available;
  const maxCascade = file.max_cascade ?? null;
  return {
    name: file.design,
    device: file.device ?? null,
    clockMHz: file.clock ?? null,
    limits: { blocks, luts },
    weights: file.weights,
    small: {
      lutDepth: file.small.lut_depth ?? null,
      registerBits: file.small.register_bits ?? DEFAULT_REGISTER_BITS,
    },
    requests: located.map(({ request }) => ({ ...request, maxCascade: request.maxCascade ?? maxCascade })),
    warnings,
  };
}

/**
 * Reads a design: checks its form, turns its structures into memory requests (each with the range of the name of
 * the entry that it comes from) and checks the rules between them. All problems are gathered in two steps: those
 * of the form and of single memories, and, where there are none, those between memories. Does not know the device:
 * see {@link checkAgainstDevice}. Never throws for what stands in the text.
 */
export function readDesign(source: Source): ReadDesign {
  const read = readYaml(source, designSchema);
  if (!read.ok) return read;
  const file = read.value;
  const gathered = gather(file, read);
  const groups = groupRules(gathered.located);
  const problems = [
    ...nameRules(file, read),
    ...limitRules(gathered.located),
    ...groups.problems,
    ...pumpProblems(file, read),
  ];
  if (gathered.located.length === 0) {
    problems.push(
      problem("missing-key", read.rangeOf(["design"]), "expected memories or structures, found none"),
    );
  }
  if (problems.length > 0) {
    return { ok: false, diagnostics: inOrder(problems.map((p) => ({ ...p, file: source.file }))) };
  }
  const warnings = [...gathered.warnings, ...groups.warnings];
  const design = designOf(file, { located: gathered.located, warnings });
  return {
    ok: true,
    design,
    source,
    file,
    homeNames: homeNames(file, gathered.located, read),
    deviceRange: file.device === undefined ? null : read.rangeOf(["device"]),
  };
}

/** Reads a design file. Throws {@link InputError}, with all diagnostics, where it cannot be read or has errors. */
export function loadDesign(path: string): DesignRead {
  const source = readSource(path);
  const read = readDesign(source);
  if (!read.ok) throw new InputError(source, read.diagnostics);
  return read;
}
