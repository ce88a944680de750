import { describe, expect, it } from "vitest";
import { ramtailor } from "./run-command.js";

describe("a design that cannot be used", () => {
  it("is told with file, line and column, the line and the nearest name, for every command", async () => {
    for (const command of ["pack", "derive", "check"]) {
      const { exit, stdout, stderr } = await ramtailor(`${command} wrong.yaml`);
      expect(exit).toBe(2);
      expect(stdout).toBe("");
      expect(stderr).toMatch(/^wrong\.yaml:5:\d+: error: .*"depth"/m);
      expect(stderr).toMatch(/^wrong\.yaml:6:\d+: error: /m);
      expect(stderr).toContain("    - { name: samples, depht: 1024");
    }
  });

  it("is told as JSON, all errors of it", async () => {
    const { exit, stdout, stderr } = await ramtailor("pack wrong.yaml --json");
    expect(exit).toBe(2);
    expect(stderr).toBe("");
    const { format, errors } = JSON.parse(stdout);
    expect(format).toBe("ramtailor-error/1");
    expect(errors).toContainEqual(
      expect.objectContaining({ file: "wrong.yaml", line: 5, code: "unknown-key", nearest: "depth" }),
    );
    expect(errors).toContainEqual(expect.objectContaining({ file: "wrong.yaml", line: 6, nearest: null }));
  });

  it("is named as it was typed where it does not exist", async () => {
    expect(await ramtailor("derive ./nowhere/none.yaml")).toEqual({
      exit: 2,
      stdout: "",
      stderr: "./nowhere/none.yaml: error: no such file\n",
    });
  });

  it("is told with the file most like it where it does not exist", async () => {
    const { exit, stderr } = await ramtailor("pack smal.yaml");
    expect(exit).toBe(2);
    expect(stderr).toBe('smal.yaml: error: no such file; did you mean "small.yaml"?\n');
    const { errors } = JSON.parse((await ramtailor("pack smal.yaml --json")).stdout);
    expect(errors).toEqual([expect.objectContaining({ file: "smal.yaml", nearest: "small.yaml" })]);
  });

  it("points at a name that the device does not have", async () => {
    const { exit, stderr } = await ramtailor("pack wrong-home.yaml");
    expect(exit).toBe(2);
    expect(stderr).toMatch(
      /^wrong-home\.yaml:5:\d+: error: .*ecp5-25f has no "EBRR"; did you mean "EBR"\?$/m,
    );
  });

  it("points at the memory that has no legal home", async () => {
    const { exit, stderr } = await ramtailor("pack nothing-legal.yaml");
    expect(exit).toBe(2);
    expect(stderr).toMatch(/^nothing-legal\.yaml:6:\d+: error: lookup: /m);
    const { errors } = JSON.parse((await ramtailor("check nothing-legal.yaml --json")).stdout);
    expect(errors).toHaveLength(1);
    expect(errors[0]).toMatchObject({ line: 6, code: "nothing-legal" });
  });
});

describe("a device that cannot be used", () => {
  it("is told with the nearest name", async () => {
    for (const words of ["devices ecp5-25g", "pack small.yaml --device ecp5-25g"]) {
      const { exit, stderr } = await ramtailor(words);
      expect(exit).toBe(2);
      expect(stderr).toBe('ecp5-25g: error: no device has the name "ecp5-25g"; did you mean "ecp5-25f"?\n');
    }
    const { errors } = JSON.parse((await ramtailor("devices ecp5-25g --json")).stdout);
    expect(errors).toEqual([expect.objectContaining({ code: "unknown-name", nearest: "ecp5-25f" })]);
  });

  it("is told where a design names it", async () => {
    const told =
      /^wrong-device\.yaml:3:9: error: no device has the name "ecp5-25g"; did you mean "ecp5-25f"\?\n.*device: ecp5-25g$/m;
    for (const words of [
      "pack wrong-device.yaml",
      "check wrong-device.yaml --json",
      "sweep wrong-device.yaml --vary memories.samples.depth=512,1024",
      "compare wrong-device.yaml small.yaml",
      "compare small.yaml wrong-device.yaml",
      "compare no-device.yaml wrong-device.yaml",
    ]) {
      const { exit, stdout, stderr } = await ramtailor(words);
      expect(exit).toBe(2);
      if (words.endsWith("--json")) {
        expect(JSON.parse(stdout).errors).toEqual([
          expect.objectContaining({ file: "wrong-device.yaml", line: 3, nearest: "ecp5-25f" }),
        ]);
      } else expect(stderr).toMatch(told);
    }
    const { exit, stderr } = await ramtailor("pack no-device-file.yaml");
    expect(exit).toBe(2);
    expect(stderr).toMatch(/^no-device-file\.yaml:2:9: error: nowhere\/part\.yaml: no such file$/m);
    expect((await ramtailor("pack wrong-device.yaml --device ecp5-25f")).exit).toBe(0);
  });

  it("is named as it was typed where it is a path", async () => {
    const { exit, stderr } = await ramtailor("devices my/own.yaml#big");
    expect(exit).toBe(2);
    expect(stderr).toMatch(/^my\/own\.yaml: error: /);
  });
});

describe("a fault of the program", () => {
  const broken = {
    stdout: {
      write: () => {
        throw new Error("no\nroom");
      },
    },
  };

  it("exits 3 with one line, and where it happened only on request", async () => {
    const short = await ramtailor("devices", broken);
    expect(short).toMatchObject({
      exit: 3,
      stderr: "ramtailor: a fault of this program: no room (RAMTAILOR_DEBUG=1 shows where)\n",
    });
    const long = await ramtailor("devices", { ...broken, env: { RAMTAILOR_DEBUG: "1" } });
    expect(long.exit).toBe(3);
    expect(long.stderr).toMatch(/^ramtailor: a fault of this program: no room\nError: no\nroom\n +at /);
  });
});
