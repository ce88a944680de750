import { describe, expect, it } from "vitest";
import { ramtailor } from "./run-command.js";

describe("explain", () => {
  it("tells place, map, alternatives and waste", async () => {
    const { exit, stdout, stderr } = await ramtailor("explain small.yaml window");
    expect(stderr).toBe("");
    expect(exit).toBe(0);
    expect(stdout).toContain("window of small on ecp5-25f\n");
    expect(stdout).toContain("512 words of 18 bits, ports 1r1w.");
    expect(stdout).toMatch(/^It takes 1 block of EBR, at \d+x\d+, port A to write and port B to read\.$/m);
    expect(stdout).toMatch(/^0-511 \| \d+x\d+ \|$/m);
    expect(stdout).toMatch(/^2 x 2048x9 +\+1 EBR .* more blocks$/m);
    expect(stdout).toMatch(/^LUT memory +-1 EBR .* not unless told to \(in\)$/m);
    expect(stdout).toContain("estimates before place-and-route");
    for (const line of stdout.split("\n")) expect(line.length, line).toBeLessThanOrEqual(100);
  });

  it("tells the same as JSON", async () => {
    const { exit, stdout } = await ramtailor("explain small.yaml regs --json");
    expect(exit).toBe(0);
    const data = JSON.parse(stdout);
    expect(data).toMatchObject({
      format: "ramtailor-explain/1",
      design: "small",
      memory: { name: "regs", copies: 2, realisation: "replication" },
      map: [{ instances: [0, 0], tiles: [{ rows: [0, 31], bits: [0, 31] }] }],
    });
    expect(data.alternatives.length).toBeGreaterThan(2);
    expect(data.remedies.map(({ part }: { part: string }) => part)).toContain("replication");
  });

  it("exits 1 where the design does not fit", async () => {
    expect((await ramtailor("explain too-large.yaml samples")).exit).toBe(1);
  });

  it.each([
    ["small.yaml windov", '"windov" is no memory of small; did you mean "window"?', "window"],
    ["small.yaml cache", '"cache" is no memory of small; memories: samples, window, regs', null],
  ])("exits 2 with the nearest name: %s", async (words, text, nearest) => {
    expect(await ramtailor(`explain ${words}`)).toEqual({ exit: 2, stdout: "", stderr: `error: ${text}\n` });
    const { errors } = JSON.parse((await ramtailor(`explain ${words} --json`)).stdout);
    expect(errors).toMatchObject([{ code: "unknown-name", nearest }]);
  });
});
