import { Argument, type Command } from "commander";
import { SCHEMA_NAMES } from "../input/schema-names.js";
import { EXIT, type Io } from "./io.js";
import { addJson } from "./options.js";
import { UsageError } from "./usage-error.js";

/** `schema FORM`: prints the JSON Schema of a file's form, for editors. */
export function addSchema(program: Command, io: Io, finish: (exit: number) => void): void {
  const command = program
    .command("schema")
    .description("print the form of a file as JSON Schema (draft 2020-12), for editors")
    .addArgument(new Argument("<form>", "form of a file").choices(SCHEMA_NAMES).argParser((form) => form));
  // The output is JSON with or without; the option is for what goes wrong.
  addJson(command).action(async (form: string) => {
    const { jsonSchema } = await import("../input/json-schema.js");
    const name = SCHEMA_NAMES.find((each) => each === form);
    if (name === undefined) {
      const unknown = { word: form, names: SCHEMA_NAMES, what: "forms" };
      throw new UsageError("unknown-name", `${JSON.stringify(form)} is no form of a file`, unknown);
    }
    const { jsonText } = await import("../report/json.js");
    io.stdout.write(jsonText(jsonSchema(name)));
    finish(EXIT.done);
  });
}
