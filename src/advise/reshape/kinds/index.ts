import type { ChangeKind } from "../change.js";
import type { Proposer } from "../subject.js";
import { banks } from "./banks.js";
import { grow } from "./grow.js";
import { join } from "./join.js";
import { line } from "./line.js";
import { pool } from "./pool.js";
import { ports } from "./ports.js";
import { pump } from "./pump.js";
import { realisation } from "./realisation.js";
import { share } from "./share.js";
import { small } from "./small.js";
import { split } from "./split.js";
import { stack } from "./stack.js";
import { together } from "./together.js";
import { trim } from "./trim.js";
import { ways } from "./ways.js";

/** Who proposes the changes of each kind. A new kind is a file here and a line in this list. */
export const PROPOSERS: Readonly<Record<ChangeKind, Proposer>> = {
  grow,
  trim,
  ways,
  line,
  banks,
  split,
  join,
  together,
  share,
  stack,
  pump,
  realisation,
  ports,
  small,
  pool,
};
