/// <reference lib="dom" />
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { type Browser, chromium, type Page } from "playwright-core";
import { ramtailor } from "../cli/run-command.js";

/** Debian's Chromium, which .ci/setup installs; RAMTAILOR_CHROMIUM names another. */
const EXECUTABLE = process.env.RAMTAILOR_CHROMIUM ?? "/usr/bin/chromium";

const FLAGS = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

/** How a page is opened. */
export interface View {
  readonly width?: number;
  readonly theme?: "light" | "dark";
  /** What stands behind `#` in the address. */
  readonly hash?: string;
  /** JavaScript that runs before the page's own. */
  readonly script?: string;
}

/** An open page, and what it asked for or complained of since it was opened. */
export interface Opened {
  readonly page: Page;
  /** Addresses other than the file's own and those of its own making. */
  readonly requests: readonly string[];
  /** Errors that were thrown or logged. */
  readonly errors: readonly string[];
}

/** A browser with a folder for pages. Call {@link close} at the end. */
export class Bench {
  private constructor(
    private readonly browser: Browser,
    readonly folder: string,
  ) {}

  /** Starts a browser with a profile of its own. */
  static async start(): Promise<Bench> {
    const browser = await chromium.launch({ executablePath: EXECUTABLE, args: FLAGS });
    return new Bench(browser, mkdtempSync(join(tmpdir(), "ramtailor-page-")));
  }

  /** Writes the page of a shipped design as the command does, and gives its path. */
  async write(design: string, options = ""): Promise<string> {
    const file = join(this.folder, `${design}${options === "" ? "" : "-with-options"}.html`);
    const root = fileURLToPath(new URL("../../", import.meta.url));
    const { exit, stderr } = await ramtailor(
      `page designs/${design}.yaml -o ${file}${options === "" ? "" : ` ${options}`}`,
      { cwd: root },
    );
    if (exit > 1) throw new Error(stderr);
    return file;
  }

  /** Opens a page and waits until its worker has packed the design once. */
  async open(
    file: string,
    { width = 1280, theme = "light", hash = "", script = "" }: View = {},
  ): Promise<Opened> {
    const page = await this.browser.newPage({ viewport: { width, height: 900 }, colorScheme: theme });
    const requests: string[] = [];
    const errors: string[] = [];
    const own = pathToFileURL(file).href;
    page.on("request", (request) => {
      const url = request.url();
      if (!/^(?:blob|data):/.test(url) && url.split("#")[0] !== own) requests.push(url);
    });
    page.on("pageerror", (error) => errors.push(error.message));
    page.on("console", (message) => {
      if (message.type() === "error" || message.type() === "warning") errors.push(message.text());
    });
    if (script !== "") await page.addInitScript(script);
    await page.goto(own + hash);
    await page.locator("[data-group]").first().waitFor();
    return { page, requests, errors };
  }

  async close(): Promise<void> {
    await this.browser.close();
    rmSync(this.folder, { recursive: true, force: true });
  }
}

/** Does something that changes the design, and waits until it is packed. */
export async function packedAfter(page: Page, change: () => Promise<unknown>): Promise<void> {
  const steps = () => page.locator("[data-steps]").getAttribute("data-steps");
  const before = await steps();
  await change();
  await page.waitForFunction(
    (old) => document.querySelector("[data-steps]")?.getAttribute("data-steps") !== old,
    before,
  );
  // What follows from an answer in effects is there a frame later.
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
}

/** What the page says that the plan uses. */
export async function shownTotals(page: Page): Promise<Record<string, number>> {
  const meters = await page
    .locator("[data-pool]")
    .evaluateAll((all) =>
      all.map((each) => [each.getAttribute("data-pool"), Number(each.getAttribute("data-used"))]),
    );
  return Object.fromEntries(meters) as Record<string, number>;
}
