import { ALIASES } from "./aliases.js";
import { FORM } from "./form.js";
import { GROUPS } from "./groups.js";
import { LIMITS } from "./limits.js";
import { MEMORY } from "./memory.js";
import { NAMES } from "./names.js";
import { NUMBERS } from "./numbers.js";
import { STRUCTURES } from "./structures.js";
import { UNITS } from "./units.js";
import { YAML } from "./yaml.js";

export type { Case } from "./case.js";

/** Designs that cannot be used, by what is wrong with them, each with all that is said of it. */
export const BAD_DESIGNS = {
  YAML,
  aliases: ALIASES,
  form: FORM,
  names: NAMES,
  numbers: NUMBERS,
  units: UNITS,
  "a memory": MEMORY,
  groups: GROUPS,
  structures: STRUCTURES,
  limits: LIMITS,
};
