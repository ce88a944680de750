import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { ScanResult } from "../../src/index.js";

/** Arrays as `module.array depth x width`, each with the number of its instances. */
export type ArrayCounts = ReadonlyMap<string, number>;

function inFolder<T>(text: string, use: (source: string, folder: string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), "scan-"));
  try {
    const source = join(folder, "source.sv");
    writeFileSync(source, text);
    return use(source, folder);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function add(counts: Map<string, number>, key: string, times: number): void {
  counts.set(key, (counts.get(key) ?? 0) + times);
}

/** The arrays that Icarus Verilog elaborates under `top`, from the program that it compiles for its simulator. */
export function arraysByIcarus(text: string, top: string): ArrayCounts {
  return inFolder(text, (source, folder) => {
    const program = join(folder, "program.vvp");
    execFileSync("iverilog", ["-g2012", "-s", top, "-o", program, source], {
      stdio: ["ignore", "ignore", "pipe"],
    });
    const counts = new Map<string, number>();
    const modules = new Map<string, string>();
    let module = "";
    for (const line of readFileSync(program, "utf8").split("\n")) {
      const scope = /^(S_\w+) \.scope (\w+), "[^"]*" "([^"]*)"[^;]*?(?:, (S_\w+))?;/.exec(line);
      if (scope !== null) {
        const [, id = "", sort, name = "", parent = ""] = scope;
        module = sort === "module" ? name : (modules.get(parent) ?? "");
        modules.set(id, module);
        continue;
      }
      const array = /\.array(?:\/\w+)? "([^"]*)", (-?\d+) (-?\d+), (-?\d+) (-?\d+);/.exec(line);
      if (array === null) continue;
      const [left, right, msb, lsb] = array.slice(2).map(Number) as [number, number, number, number];
      add(counts, `${module}.${array[1]} ${Math.abs(left - right) + 1}x${Math.abs(msb - lsb) + 1}`, 1);
    }
    return counts;
  });
}

/** The arrays of one module as Verilator lays them out, from its description of the elaborated sources. */
export function arraysByVerilator(text: string, top: string): ArrayCounts {
  return inFolder(text, (source, folder) => {
    const output = join(folder, "source.xml");
    const flags = [
      "--xml-only",
      "--xml-output",
      output,
      "--Mdir",
      folder,
      "-Wno-fatal",
      "-Wno-lint",
      "-Wno-style",
      "-Wno-ENUMVALUE",
    ];
    execFileSync("verilator", [...flags, "--top-module", top, source], {
      stdio: ["ignore", "ignore", "pipe"],
    });
    const lines = readFileSync(output, "utf8").split("\n");
    const types = typesIn(lines);
    const counts = new Map<string, number>();
    let module = "";
    for (const line of lines) {
      module = /<module [^>]*origName="([^"]*)"/.exec(line)?.[1] ?? module;
      const variable = /<var .*name="([^"]*)" dtype_id="(\d+)"/.exec(line);
      if (variable === null) continue;
      const { depth, width } = sizeOf(variable[2]!, types);
      if (depth !== null) add(counts, `${module}.${variable[1]} ${depth}x${width}`, 1);
    }
    return counts;
  });
}

interface XmlType {
  readonly sort: string;
  readonly of: string | null;
  /** Bounds of a range, or of a vector. */
  readonly bounds: number[];
  readonly members: string[];
}

/** The table of types: one element a line. */
function typesIn(lines: readonly string[]): Map<string, XmlType> {
  const types = new Map<string, XmlType>();
  let open: XmlType | null = null;
  for (const line of lines) {
    const attribute = (name: string) => new RegExp(` ${name}="([^"]*)"`).exec(line)?.[1] ?? null;
    const sort = /<(\w+dtype) /.exec(line)?.[1];
    if (sort !== undefined) {
      const [left, right] = [attribute("left"), attribute("right")];
      const bounds = left === null || right === null ? [] : [Number(left), Number(right)];
      const type: XmlType = { sort, of: attribute("sub_dtype_id"), bounds, members: [] };
      types.set(attribute("id")!, type);
      if (sort === "memberdtype") open?.members.push(attribute("id")!);
      else open = type;
    }
    const value = / name="\d+&apos;s?h([0-9a-f]+)"/.exec(line)?.[1];
    if (/<const /.test(line) && value !== undefined && open !== null)
      open.bounds.push(Number.parseInt(value, 16));
  }
  return types;
}

/** Words (null: no array) and bits of a type. */
function sizeOf(
  id: string,
  types: ReadonlyMap<string, XmlType>,
): { readonly depth: number | null; readonly width: number } {
  const { sort, of, bounds, members } = types.get(id)!;
  const count = bounds.length < 2 ? 1 : Math.abs(bounds[0]! - bounds[1]!) + 1;
  if (sort === "unpackarraydtype") {
    const inner = sizeOf(of!, types);
    return { depth: count * (inner.depth ?? 1), width: inner.width };
  }
  if (sort === "packarraydtype") return { depth: null, width: count * sizeOf(of!, types).width };
  if (sort === "structdtype")
    return { depth: null, width: members.reduce((sum, member) => sum + sizeOf(member, types).width, 0) };
  if (of !== null) return sizeOf(of, types);
  return { depth: null, width: count };
}

/** What a scan found, counted in the same way; banks of an array count as the array. */
export function arraysByScan({ memories, registers, wires }: ScanResult): ArrayCounts {
  const counts = new Map<string, number>();
  for (const { module, array, depth, width, instances } of [...memories, ...registers, ...wires]) {
    add(counts, `${module}.${array.slice(array.lastIndexOf(".") + 1)} ${depth}x${width}`, instances);
  }
  return counts;
}
