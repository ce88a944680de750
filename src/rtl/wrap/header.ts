import { portsName, readers, writers } from "../../model/index.js";
import type { Cluster } from "./clusters.js";
import type { Interface } from "./logical-ports.js";
import type { Sharing } from "./sharing.js";

const COLLISIONS = {
  any: "undefined",
  old: "the word before the write",
  new: "the word after the write",
} as const;

/** Cuts a sentence into lines of at most 100 characters. */
function wrapped(text: string): string[] {
  const lines: string[] = [];
  for (const word of text.split(" ")) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + word.length < 100) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}

/** Whether a member's read data stays as it is while its ports are idle. */
export function holdsData(cluster: Cluster, sharing: Sharing, member: number): boolean {
  const { layout, request } = cluster.members[member]!;
  if (request.read === "async" || layout.realisation === "exclusive-or") return false;
  return !sharing.exclusive.some((list) => list.includes(member));
}

/** What a designer has to know of a module, as lines of its comment. */
export function headerOf(cluster: Cluster, sharing: Sharing, ports: Interface): string[] {
  const lines: string[] = [];
  const say = (text: string) => lines.push(...wrapped(text));
  const nameOf = (member: number) => ports.members[member]!.prefix.replace(/_$/, "") || "the memory";
  cluster.members.forEach(({ request, layout }, member) => {
    const { name, depth, width, lane, clocks, read } = request;
    const own = ports.members[member]!;
    const prefix = own.prefix === "" ? "" : `, ports ${own.prefix}*`;
    const lanes = lane === null ? "" : `, write lanes of ${lane} bits`;
    const sides =
      request.wordsPerAccess.read + request.wordsPerAccess.write > 2
        ? `, reads ${request.wordsPerAccess.read} and writes ${request.wordsPerAccess.write} words at once`
        : "";
    say(
      `${name}: ${depth} words of ${width} bits, ${portsName(request.ports)}, read ${read}, ${clocks === 1 ? "one clock" : "two clocks"}${lanes}${sides}; ${layout.realisation} in ${layout.home}${prefix}.`,
    );
    const start = request.contents ?? (request.initialContents ? "zeros" : null);
    const notes =
      writers(request.ports) === 0
        ? []
        : [`Read in the cycle of a write to the same word: ${COLLISIONS[request.collision]}.`];
    if (start !== null) notes.push(`Contents at start: ${start}.`);
    say(`  ${notes.join(" ")}`);
    if (read === "sync" && !holdsData(cluster, sharing, member)) {
      say("  Read data is valid in the one cycle after the read.");
    }
  });
  lines.push("");
  const sync = cluster.members.some(({ request }) => request.read === "sync");
  if (sync) {
    say(
      "Synchronous reads: data follows the clock edge at which the port is enabled, and stays until the port is enabled again unless said otherwise; after a write at a read-write port it is undefined but where the word before or after the write is promised.",
    );
  }
  say("Addresses at or above the depth must not be used: the blocks may hold other words there.");
  if (cluster.members.some(({ request }) => writers(request.ports) > 1)) {
    say("Two ports must not write one word in one cycle.");
  }
  if (cluster.members.some(({ request }) => request.clocks === 2 && readers(request.ports) > 0)) {
    say(
      "Two clocks: a word may be read on the other clock from three cycles of the writing clock after its write; what a read shows before that is undefined.",
    );
  }
  for (const group of sharing.addressed.filter((list) => list.length > 1)) {
    say(`Lockstep: ${group.map(nameOf).join(", ")} share addresses and read enables, port by port.`);
    if (cluster.members[group[0]!]!.request.ports.readWrite > 0) {
      say("  A read-write port reads none of them in a cycle in which it writes one.");
    }
    const together = group.filter((member) => cluster.members[member]!.request.lockstep?.together === true);
    if (together.length > 1) say(`  ${together.map(nameOf).join(", ")} must be written in the same cycles.`);
  }
  for (const group of sharing.exclusive) {
    say(`Exclusive: of ${group.map(nameOf).join(", ")} only one may be enabled at a port in a cycle.`);
  }
  if (ports.fastClock !== null) {
    say(
      `${ports.fastClock.name} has ${ports.pump} times the frequency of clk, and an edge with each edge of clk. Inputs have to be stable from one fast period after the edge of clk on.`,
    );
  }
  lines.push("");
  say(
    "Timing and collisions follow the handbook of the device's vendor, not this file. Results are estimates before place-and-route: the vendor's handbook and the timing report of the finished design decide. A safety-related design needs the usual review by qualified people.",
  );
  return lines;
}
