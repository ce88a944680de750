import { memories, structures } from "../heads.js";
import { CACHE, type Case, GOOD } from "./case.js";

const clock = (text: string) => `clock: "${text}"\n${memories(GOOD)}`;
const size = (text: string) =>
  structures(`kind: cache, name: l1, ways: 4, line: 64 B, address: 38, size: "${text}"`);

export const UNITS: readonly Case[] = [
  [
    "a clock of 100 mhz",
    clock("100 mhz"),
    ':1:8: error: clock: expected a clock such as "100 MHz", found "100 mhz"',
  ],
  [
    "a clock of 100 MHZ",
    clock("100 MHZ"),
    ':1:8: error: clock: expected a clock such as "100 MHz", found "100 MHZ"',
  ],
  [
    "a clock of 100 Mhz",
    clock("100 Mhz"),
    ':1:8: error: clock: expected a clock such as "100 MHz", found "100 Mhz"',
  ],
  [
    "a clock of -100 MHz",
    clock("-100 MHz"),
    ':1:8: error: clock: expected a clock such as "100 MHz", found "-100 MHz"',
  ],
  [
    "a clock of 1e2 MHz",
    clock("1e2 MHz"),
    ':1:8: error: clock: expected a clock such as "100 MHz", found "1e2 MHz"',
  ],
  [
    "a clock of 100 MB",
    clock("100 MB"),
    ':1:8: error: clock: expected a clock such as "100 MHz", found "100 MB"',
  ],
  [
    "a clock of 100  MHz",
    clock("100  MHz"),
    ':1:8: error: clock: expected a clock such as "100 MHz", found "100  MHz"',
  ],
  [
    "a clock of 100000000 Hz",
    clock("100000000 Hz"),
    ':1:8: error: clock: expected a clock such as "100 MHz", found "100000000 Hz"',
  ],
  [
    "a clock of 10 ns",
    clock("10 ns"),
    ':1:8: error: clock: expected a clock such as "100 MHz", found "10 ns"',
  ],
  ["a clock of MHz", clock("MHz"), ':1:8: error: clock: expected a clock such as "100 MHz", found "MHz"'],
  [
    "a clock of 100 MHz ",
    clock("100 MHz "),
    ':1:8: error: clock: expected a clock such as "100 MHz", found "100 MHz "',
  ],
  [
    "a clock with a comma",
    clock("100,5 MHz"),
    ':1:8: error: clock: expected a clock such as "100 MHz", found "100,5 MHz"',
  ],
  [
    "a clock in a list",
    `clock: [100 MHz]\n${memories(GOOD)}`,
    ':1:8: error: clock: expected a clock such as "100 MHz", found a list',
  ],
  [
    "a size of 16 kib",
    size("16 kib"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "16 kib"',
  ],
  [
    "a size of 16 KIB",
    size("16 KIB"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "16 KIB"',
  ],
  [
    "a size of 16 Kib",
    size("16 Kib"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "16 Kib"',
  ],
  [
    "a size of 16 kB",
    size("16 kB"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "16 kB"',
  ],
  [
    "a size of 16 Kb",
    size("16 Kb"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "16 Kb"',
  ],
  [
    "a size of 16 K",
    size("16 K"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "16 K"',
  ],
  [
    "a size of 16 KiB/s",
    size("16 KiB/s"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "16 KiB/s"',
  ],
  [
    "a size of 16  KiB",
    size("16  KiB"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "16  KiB"',
  ],
  [
    "a size of  16 KiB",
    size(" 16 KiB"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found " 16 KiB"',
  ],
  [
    "a size of -16 KiB",
    size("-16 KiB"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "-16 KiB"',
  ],
  [
    "a size of 0 KiB",
    size("0 KiB"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "0 KiB"',
  ],
  [
    "a size of 1.5 bits",
    size("1.5 bits"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "1.5 bits"',
  ],
  [
    "a size of 1e3 B",
    size("1e3 B"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "1e3 B"',
  ],
  [
    "a size of 0x10 B",
    size("0x10 B"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "0x10 B"',
  ],
  [
    "a size of 16 TB",
    size("16 TB"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "16 TB"',
  ],
  [
    "a size of KiB",
    size("KiB"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "KiB"',
  ],
  [
    "a size of 9007199254740993 B",
    size("9007199254740993 B"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "9007199254740993 B"',
  ],
  [
    "a size of 16 MHz",
    size("16 MHz"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "16 MHz"',
  ],
  [
    "a size of 1,024 B",
    size("1,024 B"),
    ':3:69: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found "1,024 B"',
  ],
  [
    "a size that is nothing",
    structures("kind: cache, name: l1, ways: 4, line: 64 B, address: 38, size:"),
    ":3:63: error: structures[0].size: expected a size with its unit, for example 16 KiB, 64 B or 512 bits, found nothing",
  ],
  [
    "a page of no power of two",
    structures(`name: l1, ${CACHE}, page: 3 KiB`),
    ':3:83: error: structures[0].page: expected a power of two of bytes, for example 64 B, found "3 KiB"',
  ],
  [
    "a percentage of blocks",
    `available: {EBR: 50%}\n${memories(GOOD)}`,
    ':1:18: error: available.EBR: expected a number, found "50%"',
  ],
];
