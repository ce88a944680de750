import fc from "fast-check";
import { expect, test } from "vitest";
import { type Diagnostic, positionOf, printDiagnostics } from "../../src/input/index.js";

function print(text: string, start: number, end: number, message = "wrong"): string {
  const diagnostic: Diagnostic = {
    code: "wrong-value",
    severity: "error",
    message,
    range: { start, end },
    file: "f.yaml",
  };
  return printDiagnostics({ file: "f.yaml", text }, [diagnostic]);
}

test("the place, the line and carets under the range", () => {
  expect(print("a: 1\nbcd: 23\n", 10, 12)).toBe("f.yaml:2:6: error: wrong\n    bcd: 23\n         ^^\n");
});

test("a range over several lines is marked on its first", () => {
  expect(print("ab\ncd", 1, 5)).toBe("f.yaml:1:2: error: wrong\n    ab\n     ^\n");
});

test("an empty range has one caret, also past the last character", () => {
  expect(print("ab", 2, 2)).toBe("f.yaml:1:3: error: wrong\n    ab\n      ^\n");
});

test("a tab is one column wide, a carriage return is not shown", () => {
  expect(print("\ta\r\nb", 1, 2)).toBe("f.yaml:1:2: error: wrong\n     a\n     ^\n");
});

test("control characters of the text and the message are not passed on", () => {
  expect(print("\u001b[31ma", 5, 6, "found \u001b[0m")).toBe(
    "f.yaml:1:6: error: found ?[0m\n    ?[31ma\n         ^\n",
  );
});

test("a diagnostic about the file has no line", () => {
  const source = { file: "f.yaml", text: "a" };
  const about = {
    code: "over-limit",
    severity: "warning",
    message: "long",
    range: null,
    file: "f.yaml",
  } as const;
  expect(printDiagnostics(source, [about])).toBe("f.yaml: warning: long\n");
});

test("no diagnostics, no text", () => {
  expect(printDiagnostics({ file: "f", text: "a" }, [])).toBe("");
});

test("a long line is cut to 80 characters around the place", () => {
  const line = `${"x".repeat(200)}HERE${"y".repeat(200)}`;
  const [, shown = "", carets = ""] = print(line, 200, 204).split("\n");
  expect(shown).toHaveLength(4 + 80);
  expect(shown.startsWith("    …x") && shown.endsWith("y…")).toBe(true);
  expect(carets.trim()).toBe("^^^^");
  expect(shown.slice(carets.indexOf("^"), carets.length)).toBe("HERE");
});

test("whatever the range, the carets stand under what it covers", () => {
  const line = fc.stringMatching(/^[a-z]{1,300}$/);
  fc.assert(
    fc.property(line, line, fc.nat(), fc.nat(), (above, text, a, b) => {
      const start = a % text.length;
      const end = start + 1 + (b % (text.length - start));
      const before = above.length + 1;
      const [head = "", shown = "", carets = ""] = print(
        `${above}\n${text}`,
        before + start,
        before + end,
      ).split("\n");
      expect(head).toBe(`f.yaml:2:${start + 1}: error: wrong`);
      const marked = shown.slice(carets.indexOf("^"), carets.length);
      expect(marked.length).toBeGreaterThan(0);
      expect(shown.length).toBeLessThanOrEqual(84);
      // A cut end shows as an ellipsis.
      const covered = text.slice(start, start + marked.length);
      expect(marked === covered || marked === `${covered.slice(0, -1)}…`).toBe(true);
    }),
  );
});

test("positions count lines and columns from 1", () => {
  expect(positionOf("ab\ncd", 0)).toEqual({ line: 1, column: 1 });
  expect(positionOf("ab\ncd", 2)).toEqual({ line: 1, column: 3 });
  expect(positionOf("ab\ncd", 3)).toEqual({ line: 2, column: 1 });
  expect(positionOf("ab\ncd", 99)).toEqual({ line: 2, column: 3 });
});
