import type { BeatenAlternative, Explanation, Geometry, Remedy } from "../advise/explain/index.js";
import { type Layout, type Plan, portsName, type Realisation } from "../model/index.js";
import { tileMap, tilesOf } from "./explain-map.js";
import { type Column, fitted, grid, prose, reportWidth, type TextOptions } from "./grid.js";
import { jsonText } from "./json.js";
import { layoutLines } from "./memory-rows.js";
import { paint } from "./paint.js";
import { ESTIMATE_NOTE } from "./table.js";
import { counted, figure, listed, percent, plain, signed } from "./text.js";

const PORT_WORDS: Readonly<Record<Realisation, (layout: Layout) => string>> = {
  "one-copy": () => "",
  replication: ({ copies }) => `kept in ${copies} copies that are written together, for its reads`,
  "dual-port-replication": ({ copies }) =>
    `kept in ${copies} copies that its read-write port writes together, each with one more read`,
  "live-value-table": ({ copies }) =>
    `kept in ${copies} copies, with a table that tells which of them was written last`,
  "exclusive-or": ({ copies }) => `kept in ${copies} copies whose exclusive-or is the word`,
  pumped: ({ copies, pump }) =>
    `held in blocks at ${pump} times the design's clock${copies > 1 ? `, in ${copies} copies` : ""}`,
  "lut-memory": ({ copies }) => (copies > 1 ? `kept in ${copies} copies, one for each read` : ""),
  registers: () => "",
};

/** How many instances a layout serves, as the start of a sentence. */
function whose({ instances: [first, last] }: Layout, all: number): string {
  if (all === 1) return "It";
  if (last - first + 1 === all) return `Each of its ${figure(all)} instances`;
  return first === last
    ? `Instance ${figure(first)}`
    : `Each of the instances ${figure(first)} to ${figure(last)}`;
}

/** How the ports of its blocks are used, from the first tile of a layout; "" in logic. */
function portWords({ blocks }: Plan, name: string, layout: Layout): string {
  const block = blocks.find(({ tenants, repeat }) =>
    tenants.some(
      ({ memory, instance }) =>
        memory === name && instance <= layout.instances[0] && layout.instances[0] < instance + repeat,
    ),
  );
  const tenant = block?.tenants.find(({ memory }) => memory === name);
  if (block === undefined || tenant === undefined) return "";
  if (block.arrangement === "single") return "through the one port of each";
  if (block.arrangement === "simple-dual") {
    return tenant.ports.length === 2 ? "port A to write and port B to read" : `port ${tenant.ports[0]} alone`;
  }
  return tenant.ports.length === 2
    ? "with both ports of each"
    : "through one of the two ports of each, so that the other may serve another memory";
}

function layoutSentence({ plan, memory }: Explanation, layout: Layout): string {
  const subject = whose(layout, memory.instances);
  const made = PORT_WORDS[layout.realisation](layout);
  const logic = [
    ...(layout.luts > 0 ? [counted(layout.luts, "LUT")] : []),
    ...(layout.registers > 0 ? [counted(layout.registers, "flip-flop")] : []),
  ];
  if (layout.tiles.length === 0) {
    const place = layout.home === "LUT" ? "LUT memory" : "registers";
    const copies = made === "" ? "" : `, ${made}`;
    return `${subject} is in ${place}${copies}: ${listed(logic)}.`;
  }
  const count = layout.tiles.reduce((sum, tile) => sum + tile.count, 0);
  const [only, ...more] = layout.tiles;
  const tiles = layout.tiles.map((tile) => `${figure(tile.count)} at ${tile.shape}`);
  const shapes = more.length === 0 ? `at ${only!.shape}` : listed(tiles);
  const parts = [`${subject} takes ${counted(count, "block")} of ${plain(layout.home)}, ${shapes}`];
  const ports = portWords(plan, memory.name, layout);
  if (ports !== "") parts.push(ports);
  if (made !== "") parts.push(made);
  if (layout.stored.width !== memory.width) {
    parts.push(`stored as ${figure(layout.stored.depth)} words of ${layout.stored.width} bits`);
  }
  if (layout.cascade > 1) parts.push(`${figure(layout.cascade)} one above the other`);
  if (logic.length > 0) parts.push(`with ${listed(logic)} beside them`);
  return `${parts.join(", ")}.`;
}

/** What the memory is, in a sentence. */
function subjectSentence({ memory, request }: Explanation): string {
  const traits = [`ports ${portsName(memory.ports)}`];
  if (memory.lane !== null) traits.push(`write lanes of ${counted(memory.lane, "bit")}`);
  if (request.read === "async") traits.push("asynchronous read");
  if (request.clocks === 2) traits.push("two clocks");
  if (request.lockstep !== null) traits.push(`in lockstep group ${plain(request.lockstep.group)}`);
  if (request.exclusive !== null) traits.push(`in exclusive group ${plain(request.exclusive.group)}`);
  const size = `${counted(memory.depth, "word")} of ${counted(memory.width, "bit")}`;
  const times = memory.instances === 1 ? "" : `, ${figure(memory.instances)} instances`;
  return `${size}, ${traits.join(", ")}${times}.`;
}

/** The layouts that look different, each once, with its map where there is one. */
function placeParts(explanation: Explanation, width: number): string[] {
  const { plan, memory } = explanation;
  const seen = new Set<string>();
  return memory.layouts.flatMap((layout) => {
    const sentence = prose(layoutSentence(explanation, layout), width);
    const tiles = tilesOf(plan, memory.name, layout);
    const map = tileMap(tiles, width);
    const shown = map === null || seen.has(map) ? [] : [map];
    if (map !== null) seen.add(map);
    return [[sentence, ...shown].join("\n\n")];
  });
}

/** Why an alternative was not taken. */
function whyNot({ decidedBy, proven }: BeatenAlternative, plan: Plan): string {
  const words: Record<BeatenAlternative["decidedBy"], string> = {
    rule: "not unless told to (in)",
    fit: plan.status === "over-budget" ? "overruns more" : "does not fit",
    blocks: "more blocks",
    luts: "more LUTs",
    cascade: "more cascade",
    none: "as good",
    better: "better: not proven before",
  };
  return proven ? words[decidedBy] : `${words[decidedBy]} (not proven)`;
}

function alternativeRows({ plan, alternatives }: Explanation): string[][] {
  return alternatives.map((each) => {
    const ways = new Set(each.layouts.map((layout) => layoutLines(layout).join("\n")));
    const beside = each.beside.length === 0 ? [] : [`shares with ${plain(listed(each.beside))}`];
    const blocks = Object.entries(each.blocks).map(([pool, gain]) => `${signed(gain)} ${plain(pool)}`);
    return [
      [...ways, ...beside].join("\n"),
      blocks.length === 0 ? "." : blocks.join("\n"),
      signed(each.luts),
      signed(each.registers),
      signed(each.cascade),
      signed(each.wastedBits),
      whyNot(each, plan),
    ];
  });
}

const PART_WORDS: Readonly<Record<Remedy["part"], string>> = {
  replication: "copies for ports",
  widthPadding: "bits of words that hold nothing",
  depthPadding: "words that hold nothing",
  unreachable: "bits that the shapes cannot address",
};

function geometryWords(geometry: Geometry, part: Remedy["part"]): string {
  const lane = geometry.lane === null ? "" : `, lanes of ${geometry.lane}`;
  const size = `${geometry.depth} x ${geometry.width}`;
  return part === "replication" ? `ports ${portsName(geometry.ports)}` : `${size}${lane}`;
}

function wasteSentences({ memory, remedies }: Explanation): string[] {
  const held = memory.requestedBits + memory.wastedBits;
  return remedies.map(({ part, bits, geometries }) => {
    const share = `${counted(bits, "bit")} (${percent(bits, held)} of those held) are ${PART_WORDS[part]}`;
    const near = geometries.map((geometry) => geometryWords(geometry, part));
    const cure = near.length === 0 ? "no geometry near has none of them" : `none with ${near.join(" or ")}`;
    return `${share}: ${cure}.`;
  });
}

/**
 * An explanation as text: what the memory is and where it lies, with a map of one copy; the other ways to hold it with
 * what the whole design takes with each; its waste and the nearest geometries without.
 */
export function explainText(explanation: Explanation, options: TextOptions = {}): string {
  const { plan, memory, beside, alternatives, tried, untried } = explanation;
  const width = reportWidth(options);
  const color = options.color ?? false;
  const { strong } = paint(color);
  const title = `${plain(memory.name)} of ${plain(plan.design)} on ${plain(plan.device)}`;
  const parts = [
    strong(prose(title, width)),
    prose(subjectSentence(explanation), width),
    ...placeParts(explanation, width),
  ];
  if (beside.length > 0) {
    parts.push(prose(`Its blocks (* where drawn) also hold ${plain(listed(beside))}.`, width));
  }
  const proof = plan.objective.proven ? "" : " The plan is not proven optimal.";
  const more = untried === 0 ? "" : ` ${counted(untried, "way")} more that take more room were not packed.`;
  const intro =
    alternatives.length === 0
      ? `Nothing else can hold it.${proof}`
      : `Other ways, and what the whole design then takes, packed anew with each (${figure(tried)} tried).${more}${proof}`;
  parts.push(prose(intro, width));
  if (alternatives.length > 0) {
    const columns: Column[] = [
      { head: "laid out as", width: 24, wrap: true },
      { head: "blocks", width: 12, align: "right" },
      { head: "LUTs", width: 9, align: "right" },
      { head: "registers", width: 9, align: "right" },
      { head: "cascade", width: 7, align: "right" },
      { head: "bits wasted", width: 11, align: "right" },
      { head: "why not", width: 16, wrap: true },
    ];
    const rows = alternativeRows(explanation);
    parts.push(grid(fitted(columns, rows, width), rows, color));
  }
  const waste = wasteSentences(explanation);
  if (waste.length > 0) {
    const note = "The geometries were packed by themselves, in the same home, sharing with nothing.";
    parts.push([strong("Waste"), ...waste.map((line) => prose(line, width)), prose(note, width)].join("\n"));
  } else {
    parts.push("It wastes nothing.");
  }
  parts.push(prose(ESTIMATE_NOTE, width));
  return `${parts.join("\n\n")}\n`;
}

/** An explanation as JSON text, format `ramtailor-explain/1`. */
export function explainJson(explanation: Explanation): string {
  const { plan, memory, beside, alternatives, tried, untried, remedies } = explanation;
  return jsonText({
    format: "ramtailor-explain/1",
    design: plan.design,
    device: plan.device,
    status: plan.status,
    objective: plan.objective,
    memory,
    beside,
    map: memory.layouts.map((layout) => ({
      instances: layout.instances,
      tiles: tilesOf(plan, memory.name, layout),
    })),
    alternatives,
    tried,
    untried,
    remedies,
  });
}
