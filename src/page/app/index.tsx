/**
 * The page: what `ramtailor page` writes, in a browser. In: start data that stands in the page, and the user. Out: what is
 * seen; designs are packed in a worker (packer.ts). May import everything below the command line, but only types and
 * small pure functions, so that the packer is not in the page's own thread.
 */
import { render } from "preact";
import type { PageStart } from "../../report/page.js";
import { App } from "./app.js";
import { applyTheme } from "./theme.js";

const start = JSON.parse(document.getElementById("start")!.textContent!) as PageStart;
const root = document.getElementById("page")!;
root.textContent = "";
applyTheme("system");
document.title = `${start.plan.design}: memories on ${start.plan.device}`;
render(<App start={start} />, root);
