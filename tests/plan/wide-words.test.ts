import { expect, test } from "vitest";
import { checkPlan, findDevice, pack, readDesign } from "../../src/index.js";

// Invented. Found by the fuzz of the whole program: thousands of columns side by side were too many for a recursion.
test("a word of 65,536 bits is laid out, too many blocks as that is", async () => {
  const text =
    "design: wide\ndevice: up5k\nmemories:\n  - { name: log, depth: 300, width: 65536, ports: 1r1w }\n";
  const read = readDesign({ file: "wide.yaml", text });
  if (!read.ok) throw new Error("the design has errors");
  const { design } = read;
  const device = findDevice("up5k");
  const plan = await pack(design, device, { deadlineMs: 1000 });
  expect(plan.status).toBe("over-budget");
  expect(checkPlan(plan, design.requests, device, design.clockMHz)).toEqual([]);
});
