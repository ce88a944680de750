import { describe, expect, it } from "vitest";
import { ramtailor } from "./run-command.js";

/** Arguments that cannot be used, the text on stderr, and code and nearest name in the JSON. */
const WRONG: readonly (readonly [words: string, text: string, code: string, nearest: string | null])[] = [
  [
    "",
    "no command is given; commands: pack, derive, devices, check, sweep, reshape, wrap, compare, explain, schema, scan, page",
    "missing-argument",
    null,
  ],
  ["pakc small.yaml", '"pakc" is no command; did you mean "pack"?', "unknown-command", "pack"],
  [
    "xyzzyx small.yaml",
    '"xyzzyx" is no command; commands: pack, derive, devices, check, sweep, reshape, wrap, compare, explain, schema, scan, page',
    "unknown-command",
    null,
  ],
  ["page small.yaml", 'required option "-o, --output <file>" not specified', "missing-argument", null],
  ["pack", 'missing required argument "design"', "missing-argument", null],
  ["pack small.yaml --device", 'option "--device <device>" argument missing', "missing-argument", null],
  [
    "derive small.yaml other.yaml",
    'too many arguments for "derive". Expected 1 argument but got 2.',
    "extra-argument",
    null,
  ],
  [
    "pack small.yaml --dedline=3",
    '"--dedline" is no option of pack; did you mean "--deadline"?',
    "unknown-option",
    "--deadline",
  ],
  [
    "check small.yaml --max-block EBR=1",
    '"--max-block" is no option of check; did you mean "--max-blocks"?',
    "unknown-option",
    "--max-blocks",
  ],
  [
    "pack small.yaml --engine highz",
    '--engine: "highz" is not an engine; did you mean "highs"?',
    "unknown-engine",
    "highs",
  ],
  [
    "pack small.yaml --deadline 0",
    '--deadline: expected seconds above 0, up to 86400, found "0"',
    "wrong-option-value",
    null,
  ],
  [
    "pack small.yaml --deadline soon",
    '--deadline: expected seconds above 0, up to 86400, found "soon"',
    "wrong-option-value",
    null,
  ],
  [
    "check small.yaml --max-waste 40",
    '--max-waste: expected a percentage from 0% to 100%, for example 40%, found "40"',
    "wrong-option-value",
    null,
  ],
  [
    "check small.yaml --max-waste 101%",
    '--max-waste: expected a percentage from 0% to 100%, for example 40%, found "101%"',
    "wrong-option-value",
    null,
  ],
  [
    "check small.yaml --max-luts -1",
    '--max-luts: expected a whole number, 0 or more, found "-1"',
    "wrong-option-value",
    null,
  ],
  [
    "check small.yaml --max-blocks EBR",
    '--max-blocks: expected a pool and a whole number, for example EBR=150, found "EBR"',
    "wrong-option-value",
    null,
  ],
  [
    "check small.yaml --max-blocks EBR=1 --max-blocks EBR=2",
    '--max-blocks: "EBR" is given twice',
    "wrong-option-value",
    null,
  ],
  [
    "check small.yaml --max-blocks EBRR=150",
    '--max-blocks: "EBRR" is no pool of ecp5-25f; did you mean "EBR"?',
    "unknown-pool",
    "EBR",
  ],
  [
    "compare small.yaml small.yaml --allow -4",
    '--allow: expected blocks that may be gained, for example +4, EBR=+4 or LUT=+100, found "-4"',
    "wrong-option-value",
    null,
  ],
  [
    "compare small.yaml small.yaml --allow EBR=+1 --allow EBR=+2",
    '--allow: "EBR" is given twice',
    "wrong-option-value",
    null,
  ],
  [
    "compare small.yaml small.yaml --allow +1 --allow +2",
    "--allow: the number for every pool is given twice",
    "wrong-option-value",
    null,
  ],
  [
    "compare small.yaml small.yaml --allow EBRR=+1",
    '--allow: "EBRR" is no pool here; did you mean "EBR"?',
    "unknown-pool",
    "EBR",
  ],
  ["schema desing", '"desing" is no form of a file; did you mean "design"?', "unknown-name", "design"],
  [
    "pack no-device.yaml",
    "no device is named: give --device NAME, or write `device: NAME` in the design",
    "no-device",
    null,
  ],
];

describe("arguments that cannot be used", () => {
  it.each(WRONG)("%s", async (words, text, code, nearest) => {
    expect(await ramtailor(words)).toEqual({ exit: 2, stdout: "", stderr: `error: ${text}\n` });
    const { exit, stdout, stderr } = await ramtailor(`${words} --json`.trim());
    // Without a command, and after an option that lacks its argument, `--json` is itself part of the mistake.
    if (words === "" || words.endsWith("--device")) return;
    expect(exit).toBe(2);
    expect(stderr).toBe("");
    expect(JSON.parse(stdout)).toEqual({
      format: "ramtailor-error/1",
      errors: [{ file: null, line: null, column: null, code, message: text, nearest }],
    });
  });
});

describe("help and version", () => {
  it("name every command and show examples and exit codes", async () => {
    const { exit, stdout, stderr } = await ramtailor("--help");
    expect(exit).toBe(0);
    expect(stderr).toBe("");
    for (const command of ["pack", "derive", "devices", "check", "sweep", "compare", "explain", "schema"]) {
      expect(stdout).toMatch(new RegExp(`^  ${command} `, "m"));
      expect(stdout).toContain(`  ramtailor ${command} `);
    }
    expect(stdout).toContain("Exit codes: 0 done");
    for (const line of stdout.split("\n")) expect(line.length).toBeLessThanOrEqual(100);
  });

  it("exist for each command", async () => {
    const { exit, stdout } = await ramtailor("check --help");
    expect(exit).toBe(0);
    expect(stdout).toContain("--max-blocks <pool=n>");
  });

  it("print the version of the package", async () => {
    const { version } = (await import("../../package.json", { with: { type: "json" } })).default;
    expect(await ramtailor("--version")).toEqual({ exit: 0, stdout: `${version}\n`, stderr: "" });
  });
});
