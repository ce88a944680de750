import { memories } from "../heads.js";
import { type Case, member } from "./case.js";

export const GROUPS: readonly Case[] = [
  [
    "both sorts of group",
    memories(member("a", "lockstep: g, exclusive: h")),
    ":3:72: error: memories[0].exclusive: expected a lockstep group or an exclusive group, found both",
  ],
  [
    "members that do not divide",
    memories(member("a", "instances: 4, lockstep: {group: g, members: 3}")),
    ":3:92: error: memories[0].lockstep.members: expected members to divide the 4 instances, found 3",
  ],
  [
    "a misspelt way to write",
    memories(member("a", "lockstep: {group: g, written: togther}")),
    ':3:78: error: memories[0].lockstep.written: expected together or apart, found "togther"; did you mean "together"?',
  ],
  [
    "a number as group",
    memories(member("a", "exclusive: 7")),
    ":3:59: error: memories[0].exclusive: expected text or a mapping, found 7",
  ],
  [
    "copies of the group that differ",
    memories(
      member("a", "instances: 4, lockstep: {group: g, members: 2}"),
      member("b", "instances: 2, lockstep: g"),
    ),
    ':4:72: error: lockstep group "g": expected 2 copies of the group as a makes, found 1',
  ],
  [
    "a lockstep member of another depth",
    memories(member("a", "lockstep: g"), "name: b, depth: 16, width: 8, ports: 1r1w, lockstep: g"),
    ':4:22: error: lockstep group "g": expected the depth of a, 8, found 16',
  ],
  [
    "a lockstep member of other ports and read style",
    memories(member("a", "lockstep: g"), "name: b, depth: 8, width: 8, ports: 1rw, read: async, lockstep: g"),
    ':4:42: error: lockstep group "g": expected the ports of a, 1r1w, found 1rw',
    ':4:53: error: lockstep group "g": expected the read style of a, sync, found async',
  ],
  [
    "a lockstep member with a wide side",
    memories(member("a", "lockstep: g"), member("b", "read_width: 16, lockstep: g")),
    ':4:60: error: lockstep group "g": expected the words per read of a, 1, found 2',
  ],
  [
    "an exclusive member of other clocks",
    memories(member("a", "exclusive: g"), member("b", "clocks: 2, exclusive: g")),
    ':4:56: error: exclusive group "g": expected the clocks of a, 1, found 2',
  ],
  [
    "a member that leaves the differing key out",
    memories(member("a", "clocks: 2, exclusive: g"), member("b", "exclusive: g")),
    ':4:12: error: exclusive group "g": expected the clocks of a, 2, found 1',
  ],
];
