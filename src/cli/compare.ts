import type { Command } from "commander";
import type { DesignRead } from "../input/design.js";
import type { Device, Plan } from "../model/index.js";
import { EXIT, type Io, textOptions } from "./io.js";
import type { DesignOrPlan } from "./open-design-or-plan.js";
import { addPacking, type PackingOptions, wrong } from "./options.js";
import { UsageError } from "./usage-error.js";

/** The arguments of `--allow`. */
interface Allow {
  /** For every pool that is not named; null: not given. */
  readonly blocks: number | null;
  readonly named: ReadonlyMap<string, number>;
}

interface CompareOptions extends PackingOptions {
  readonly allow: Allow;
  readonly markdown?: true;
}

const NOTHING: Allow = { blocks: null, named: new Map() };

/** `compare OLD NEW`: what changed between two designs or saved plans. Exit code 1 past what is allowed. */
export function addCompare(program: Command, io: Io, finish: (exit: number) => void): void {
  const command = program
    .command("compare")
    .description("say what changed between two designs or saved plans, for reviews and build scripts")
    .argument("<old>", "design file, or plan saved from pack --json")
    .argument("<new>", "design file, or plan saved from pack --json")
    .option(
      "--allow <[name=]+n>",
      "blocks that every pool, or one, may gain; LUT=+N and registers=+N too (may be repeated)",
      allowOf,
      NOTHING,
    )
    .option("--markdown", "write Markdown, for a comment");
  const allow = command.options.find((option) => option.attributeName() === "allow")!;
  allow.defaultValueDescription = "+0 blocks";
  addPacking(command, "device that designs are packed on (default: the design's own, else the other side's)");
  command.action(async (oldPath: string, newPath: string, options: CompareOptions) => {
    if (options.json && options.markdown) {
      throw new UsageError("wrong-option-value", "--markdown: expected no --json beside it, found both");
    }
    const { openDesignOrPlan } = await import("./open-design-or-plan.js");
    const sides = [openDesignOrPlan(oldPath, io), openDesignOrPlan(newPath, io)] as const;
    const [before, after] = await plansOf(sides, options, io);
    const { allowanceNames, comparePlans } = await import("../advise/compare/compare.js");
    const names = allowanceNames(before, after);
    for (const name of options.allow.named.keys()) {
      if (names.includes(name)) continue;
      const message = `--allow: ${JSON.stringify(name)} is no pool here`;
      throw new UsageError("unknown-pool", message, { word: name, names, what: "names" });
    }
    const comparison = comparePlans(before, after, {
      blocks: options.allow.blocks ?? 0,
      named: Object.fromEntries(options.allow.named),
    });
    io.stdout.write(await textOf(comparison, options, io));
    finish(comparison.passed ? EXIT.done : EXIT.over);
  });
}

type Comparison = import("../advise/compare/compare.js").Comparison;

async function textOf(comparison: Comparison, options: CompareOptions, io: Io): Promise<string> {
  if (options.markdown) {
    const { compareMarkdown } = await import("../report/compare-markdown.js");
    return compareMarkdown(comparison);
  }
  const { compareJson, compareTable } = await import("../report/compare.js");
  return options.json ? compareJson(comparison) : compareTable(comparison, textOptions(io));
}

/** Packs the designs and checks the saved plans. A design that names no device takes the other side's. */
async function plansOf(
  sides: readonly [DesignOrPlan, DesignOrPlan],
  options: CompareOptions,
  io: Io,
): Promise<[Plan, Plan]> {
  const { listDevices } = await import("../input/find-device.js");
  const { refuseWrongFigures } = await import("../plan/saved-plan.js");
  const { openDevice } = await import("./load.js");
  const { deviceName, planRead } = await import("./plan-design.js");
  const devices = new Map<string, Device>();
  const deviceOf = (name: string, namedIn: DesignRead | null) => {
    const known = devices.get(name) ?? openDevice(name, io, namedIn);
    devices.set(name, known);
    return known;
  };
  const named = (side: DesignOrPlan): { name: string | null; namedIn: DesignRead | null } => {
    if (side.sort === "plan") return { name: side.plan.device, namedIn: null };
    if (options.device !== undefined) return { name: options.device, namedIn: null };
    return { name: side.read.design.device, namedIn: side.read };
  };
  const given = options.device === undefined ? null : deviceOf(options.device, null);
  const planOf = async (side: DesignOrPlan, other: DesignOrPlan) => {
    if (side.sort === "design") {
      const own = named(side);
      const { name, namedIn } = own.name === null ? named(other) : own;
      return planRead(side.read, deviceOf(deviceName(name), namedIn), options, io);
    }
    // A device that is not known here leaves the plan to be judged by its sums alone.
    const name = side.plan.device;
    const device = given?.name === name ? given : (listDevices().find((each) => each.name === name) ?? null);
    refuseWrongFigures(side.plan, side.source, device);
    return side.plan;
  };
  const before = await planOf(sides[0], sides[1]);
  return [before, await planOf(sides[1], sides[0])];
}

/** Reads one argument of `--allow` onto those read before. */
function allowOf(text: string, before: Allow): Allow {
  const at = text.lastIndexOf("=");
  const name = at < 0 ? null : text.slice(0, at);
  const number = /^\+?(\d{1,12}(?:\.\d{1,3})?)$/.exec(text.slice(at + 1))?.[1];
  if (number === undefined || name === "") {
    throw wrong("--allow", text, "blocks that may be gained, for example +4, EBR=+4 or LUT=+100");
  }
  const twice = name === null ? before.blocks !== null : before.named.has(name);
  if (twice) {
    const what = name === null ? "the number for every pool" : JSON.stringify(name);
    throw new UsageError("wrong-option-value", `--allow: ${what} is given twice`);
  }
  if (name === null) return { ...before, blocks: Number(number) };
  return { ...before, named: new Map([...before.named, [name, Number(number)]]) };
}
