import { describe, expect, it } from "vitest";
import { type TileOption, tileOptions } from "../../src/candidates/tile-option.js";
import { memoryRequest, parsePorts } from "../../src/model/index.js";
import { boundless, DEVICES } from "../support/random-designs.js";

const SETTINGS = { mixedPorts: false, clockMHz: 1 };
const PUMPED = { pump: 2, arrangement: "true-dual", turns: [2, 0] } as const;

/** Whether a tile of one shape can be one of the other, row for row and lane for lane. */
function holds(wide: TileOption, depth: number, width: number, slots: number): boolean {
  return wide.shape.depth === depth && wide.shape.width >= width && wide.slots >= slots;
}

describe("shapes of blocks whose tenants take turns", () => {
  for (const lanesNeeded of [false, true]) {
    it(`are the widest of each depth${lanesNeeded ? " and number of lanes" : ""}, and hold what narrower ones hold`, () => {
      let left = 0;
      for (const device of DEVICES.map(boundless)) {
        for (const { name } of device.pools) {
          const request = memoryRequest({
            name: "m",
            depth: 100,
            width: 16,
            ports: parsePorts("1r1w")!,
            lane: lanesNeeded ? 8 : null,
            pump: 2,
          });
          const settings = { ...SETTINGS, lanesNeeded };
          const pumped = tileOptions(device, name, request, PUMPED, settings);
          // The same blocks without turns: all shapes.
          const all = tileOptions(device, name, request, "two-ports", settings).filter(
            ({ kind }) => kind.maxClockMHz !== null,
          );
          for (const { kind, shape, slots } of all) {
            const same = pumped.filter((option) => option.kind === kind);
            expect(same.some((option) => holds(option, shape.depth, shape.width, slots))).toBe(true);
            if (!same.some((option) => option.shape === shape)) left += 1;
          }
          for (const option of pumped) {
            const { kind, shape, slots, lane } = option;
            const wider = pumped.filter(
              (other) =>
                other.kind === kind &&
                other.shape.width > shape.width &&
                (other.lane === null) === (lane === null),
            );
            expect(wider.some((other) => holds(other, shape.depth, shape.width, slots))).toBe(false);
          }
        }
      }
      // Shapes without parity bits where there are the same with them.
      expect(left).toBeGreaterThan(10);
    });
  }
});
