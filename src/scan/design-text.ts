import { counted, figure } from "../model/words.js";
import type { ScanMemory, ScanQuestion, ScanResult } from "./result.js";

/** Widest comment, in characters. */
const WIDE = 110;

/**
 * The text of a design file: what `pack` reads, with each question where it belongs and all of them at its head. Small
 * arrays and arrays of unknown size stand in comments.
 */
export function designText(result: ScanResult): string {
  const { top, files, memories, registers, unsized, wires, questions } = result;
  const byNumber = new Map(questions.map((question) => [question.number, question]));
  const asked = (numbers: readonly number[]) => numbers.map((number) => byNumber.get(number)!);
  const lines = [
    ...comment(`Memories under ${top}, read from ${fileList(files)} by \`ramtailor scan\`.`, "", ""),
    ...comment(
      "Widths and depths are those of the sources; ports, lanes and read style are how the arrays are used.",
      "",
      "",
    ),
    ...comment(
      "What a read shows of a word in the cycle of its write is not taken over: say it with collision.",
      "",
      "",
    ),
    ...head(questions),
    ...unreadHead(result),
    `design: ${designName(top)}`,
    "# device: (add one, or give it to pack with --device)",
    ...smallKey(result),
    memories.length > 0 ? "memories:" : "memories: []",
    ...memories.flatMap((memory) => [...entryHead(memory, asked(memory.questions)), `  - ${entry(memory)}`]),
  ];
  if (registers.length > 0) {
    lines.push(
      "",
      ...comment(
        `Left out: arrays that will be registers (at most ${counted(result.registersBelow, "bit")}, or every index a constant).`,
        "",
        "",
      ),
    );
    for (const memory of registers)
      lines.push(...remarks(memory, "# "), `#  - ${entry(memory)} # ${place(memory)}`);
  }
  if (unsized.length > 0) {
    lines.push("", ...comment("Left out: arrays whose size is not known.", "", ""));
    for (const { module, array, instances, questions: numbers, ...at } of unsized) {
      lines.push(`#  ${place(at)}: ${module}.${array}, ${counted(instances, "instance")}`);
      for (const { text, number } of asked(numbers))
        lines.push(...comment(`QUESTION ${number}: ${text}`, "", "    "));
    }
  }
  if (wires.length > 0) {
    lines.push("", ...comment("Left out: arrays that hold nothing.", "", ""));
    for (const memory of wires)
      lines.push(
        ...comment(
          `${place(memory)}: ${memory.module}.${memory.array}: ${memory.remarks.join("; ")}`,
          "",
          " ",
        ),
      );
  }
  return `${lines.join("\n")}\n`;
}

/** Wrapped lines of a comment. */
function comment(text: string, indent: string, after: string): string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of clean(text).split(" ")) {
    if (line !== "" && indent.length + after.length + line.length + word.length + 3 > WIDE) {
      lines.push(line);
      line = "";
    }
    line += line === "" ? word : ` ${word}`;
  }
  return [...lines, line].map((each, i) => `${indent}# ${after}${i > 0 ? "  " : ""}${each}`);
}

/** Text that cannot end a comment. */
function clean(text: string): string {
  return text.replace(/\s+/g, " ").replace(/\p{Cc}/gu, "?");
}

function fileList(files: readonly string[]): string {
  const [first = "", ...rest] = files;
  return rest.length === 0 ? first : `${first} and ${figure(rest.length)} more`;
}

function designName(top: string): string {
  return top.replace(/[^A-Za-z0-9_-]/g, "_").slice(0, 64);
}

function place({ file, line }: { readonly file: string; readonly line: number }): string {
  return clean(`${file}:${line}`);
}

function head(questions: readonly ScanQuestion[]): string[] {
  if (questions.length === 0) return ["# In what was read, nothing was left undecided."];
  const lines = comment(
    `${counted(questions.length, "question")}. What is assumed until they are answered stands in the file; answer each and strike it out.`,
    "",
    "",
  );
  for (const question of questions) lines.push(...comment(questionText(question), "", "  "));
  return lines;
}

function questionText({ number, text, memory, ...at }: ScanQuestion): string {
  return `QUESTION ${number}, ${place(at)}${memory === null ? "" : `, ${memory}`}: ${text}`;
}

function unreadHead({ unread }: ScanResult): string[] {
  if (unread.length === 0) return [];
  const lines = comment("Not read in full:", "", "");
  for (const each of unread) lines.push(...comment(`${place(each)}: ${each.message}`, "", "  "));
  return lines;
}

/** The reader's own limit for registers, where the scan had another. */
function smallKey({ registersBelow }: ScanResult): string[] {
  return registersBelow === 512 ? [] : [`small: { register_bits: ${registersBelow} }`];
}

function entryHead(memory: ScanMemory, questions: readonly ScanQuestion[]): string[] {
  const lines = comment(
    `${place(memory)}, ${memory.path}${memory.instances > 1 ? " and others" : ""}`,
    "  ",
    "",
  );
  lines.push(...remarks(memory, "  "));
  for (const file of memory.files) {
    lines.push(
      ...comment(`contents at start: ${file}; for wrap, give its path from here as contents`, "  ", ""),
    );
  }
  for (const question of questions) {
    lines.push(...comment(`QUESTION ${question.number}, ${place(question)}: ${question.text}`, "  ", ""));
  }
  return lines;
}

function remarks({ remarks: list }: ScanMemory, indent: string): string[] {
  return list.flatMap((text) => comment(text, indent, ""));
}

/** One memory as a design file has it. */
function entry(memory: ScanMemory): string {
  const {
    name,
    depth,
    width,
    ports,
    instances,
    lane,
    read,
    clocks,
    initial,
    readWidth,
    writeWidth,
    registers,
  } = memory;
  const keys = [`name: ${name}`, `depth: ${depth}`, `width: ${width}`, `ports: ${ports}`];
  if (instances > 1) keys.push(`instances: ${instances}`);
  if (lane !== null) keys.push(`lane: ${lane}`);
  if (read === "async") keys.push("read: async");
  if (clocks === 2) keys.push("clocks: 2");
  if (readWidth !== null) keys.push(`read_width: ${readWidth}`);
  if (writeWidth !== null) keys.push(`write_width: ${writeWidth}`);
  if (initial && /w/.test(ports)) keys.push("initial: true");
  if (!initial && !/w/.test(ports)) keys.push("initial: false");
  if (registers) keys.push("in: registers");
  return `{ ${keys.join(", ")} }`;
}
