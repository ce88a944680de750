import { type PortCounts, portsName, readers } from "../../../model/index.js";
import { type Change, change } from "../change.js";
import type { Entry, Structure, Subject } from "../subject.js";

/** A simpler set of ports, and what has to be true for it to do. */
interface Simpler {
  readonly ports: PortCounts;
  readonly confirm: string;
}

function simpler(name: string, ports: PortCounts): Simpler[] {
  const { read, write, readWrite } = ports;
  const found: Simpler[] = [];
  const add = (change: Partial<PortCounts>, confirm: string) => {
    const next = { ...ports, ...change };
    if (readers(next) > 0) found.push({ ports: next, confirm });
  };
  if (readers(ports) > 1 && read > 0) add({ read: read - 1 }, `${name} needs one read a cycle less`);
  if (write > 1 || (write === 1 && readWrite > 0)) {
    add({ write: write - 1 }, `${name} needs one write a cycle less`);
  }
  if (read > 0 && write > 0) {
    const words = `one of the read and one of the write ports of ${name} are never used in one cycle`;
    add({ read: read - 1, write: write - 1, readWrite: readWrite + 1 }, words);
  }
  if (readWrite > 1) {
    add({ readWrite: readWrite - 1 }, `${name} needs one access a cycle less`);
    const words = `one of the ports of ${name} only reads and another only writes`;
    add({ readWrite: readWrite - 2, read: read + 1, write: write + 1 }, words);
  } else if (readWrite === 1 && read > 0) {
    add({ readWrite: 0, write: write + 1 }, `the read-write port of ${name} only writes`);
  }
  return found;
}

function asText(name: string, ports: PortCounts): Change[] {
  return simpler(name, ports).map(({ ports: next, confirm }) =>
    change({
      kind: "ports",
      subject: name,
      title: `${name}: ports ${portsName(next)} instead of ${portsName(ports)}`,
      edits: [{ path: `${name}.ports`, value: portsName(next) }],
      effect: "behaviour",
      confirm,
    }),
  );
}

function one(
  name: string,
  title: string,
  key: string,
  value: string | number | boolean | null,
  confirm: string,
) {
  return change({
    kind: "ports",
    subject: name,
    title: `${name}: ${title}`,
    edits: [{ path: `${name}.${key}`, value }],
    effect: "behaviour",
    confirm,
  });
}

function ofStructure(p: Structure): Change[] {
  const { name } = p;
  const fewer = (key: string, what: string, now: number) =>
    now > 1
      ? [
          one(
            name,
            `${now - 1} ${what} instead of ${now}`,
            key,
            now - 1,
            `${name} needs one of its ${what} less`,
          ),
        ]
      : [];
  switch (p.kind) {
    case "scratchpad":
      return asText(name, p.ports);
    case "register-file":
      return [...fewer("reads", "read ports", p.reads), ...fewer("writes", "write ports", p.writes)];
    case "rom":
      return fewer("reads", "read ports", p.reads);
    case "cache":
      return p.snoop
        ? [
            one(
              name,
              "no snoop port",
              "snoop",
              null,
              `coherence requests to ${name} can take turns with the core`,
            ),
          ]
        : [];
    default:
      return [];
  }
}

/** What else may be relaxed in an entry: lanes, a second clock, an asynchronous read. */
function others(entry: Entry): Change[] {
  const { name } = entry;
  const p = entry.list === "memories" ? entry.memory : entry.structure;
  const found: Change[] = [];
  if ("lane" in p && p.lane !== undefined) {
    found.push(one(name, "words written whole", "lane", null, `${name} is never written in part`));
  }
  if ("clocks" in p && p.clocks === 2) {
    found.push(one(name, "one clock", "clocks", null, `all ports of ${name} can run on one clock`));
  }
  if ("read" in p && p.read === "async") {
    found.push(one(name, "synchronous read", "read", null, `${name} may give its data a cycle later`));
  }
  if (p.max_cascade !== undefined) {
    found.push(
      one(name, "no limit on its cascade", "max_cascade", null, `${name} may have deeper multiplexers`),
    );
  }
  return found;
}

/**
 * Fewer or simpler ports, whole words instead of lanes, one clock, a synchronous read. Each row says what the user has to
 * confirm. Members of lockstep and exclusive groups keep the ports of their group.
 */
export function ports({ entries }: Subject): readonly Change[] {
  return entries
    .filter(({ blocks, requests }) => blocks > 0 || requests.some(({ read }) => read === "async"))
    .flatMap((entry) => {
      if (entry.list === "structures") return [...ofStructure(entry.structure), ...others(entry)];
      const { memory } = entry;
      const grouped = memory.lockstep !== undefined || memory.exclusive !== undefined;
      return [...(grouped ? [] : asText(entry.name, memory.ports)), ...others(entry)];
    });
}
