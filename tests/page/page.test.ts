/// <reference lib="dom" />
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import axe from "axe-core";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Sweep, SweepRow } from "../../src/advise/index.js";
import { findDevice, type Plan, pack, printDiagnostics, readDesign } from "../../src/index.js";
import { ramtailor } from "../cli/run-command.js";
import { Bench, type Opened, packedAfter, shownTotals, type View } from "./browser.js";

let bench: Bench;
const files = new Map<string, string>();
beforeAll(async () => {
  bench = await Bench.start();
  for (const design of ["dish-controller", "correlator-array", "weather-mast"]) {
    files.set(design, await bench.write(design));
  }
});
afterAll(async () => bench?.close());

/** Opens a page, does something, and holds that nothing left the page and nothing went wrong in it. */
async function inPage(design: string, act: (opened: Opened) => Promise<void>, view?: View): Promise<void> {
  const opened = await bench.open(files.get(design)!, view);
  await act(opened);
  expect({ requests: opened.requests, errors: opened.errors }).toEqual({ requests: [], errors: [] });
  await opened.page.close();
}

const source = (design: string) => {
  const file = `designs/${design}.yaml`;
  return { file, text: readFileSync(new URL(`../../${file}`, import.meta.url), "utf8") };
};

async function planOf(text: string, device?: string): Promise<Plan> {
  const read = readDesign({ file: "design.yaml", text });
  if (!read.ok) throw new Error(printDiagnostics({ file: "design.yaml", text }, read.diagnostics));
  return pack(read.design, findDevice(device ?? read.design.device!));
}

/** Blocks, LUTs and LUT memory of a plan, as the page's meters name them. */
function totalsOf({ totals }: Plan): Record<string, number> {
  const pools = Object.entries(totals.available).filter(([, blocks]) => blocks > 0);
  return {
    ...Object.fromEntries(pools.map(([name]) => [name, totals.blocks[name] ?? 0])),
    LUTs: totals.luts,
    ...(totals.lutMemoryAvailable === null ? {} : { "LUTs as memory": totals.lutMemory }),
  };
}

const interval = ([first, last]: readonly [number, number]) =>
  first === last
    ? first.toLocaleString("en")
    : `${first.toLocaleString("en")} to ${last.toLocaleString("en")}`;

/** The folded blocks on the page: how many, whose, and their description. */
const glyphs = (page: Page) =>
  page.locator("[data-count]").evaluateAll((all) =>
    all.map((each) => ({
      count: Number(each.getAttribute("data-count")),
      memories: each.getAttribute("data-memories")!.split(" "),
      label: each.querySelector(".words")!.textContent,
    })),
  );

/** Blocks that a memory lies in, whole and half alike, by memory. */
function tally(list: readonly { readonly count: number; readonly memories: readonly string[] }[]) {
  const blocks: Record<string, number> = {};
  for (const { count, memories } of list) {
    for (const memory of memories) blocks[memory] = (blocks[memory] ?? 0) + count;
  }
  return blocks;
}

const tenantsOf = ({ blocks }: Plan) =>
  blocks.map(({ repeat, tenants }) => ({
    count: repeat,
    memories: [...new Set(tenants.map(({ memory }) => memory))],
  }));

async function matches(page: Page, plan: Plan): Promise<void> {
  expect(await shownTotals(page)).toEqual(totalsOf(plan));
  const drawn = await glyphs(page);
  expect(tally(drawn)).toEqual(tally(tenantsOf(plan)));
  const described = plan.blocks.map(({ tenants }) =>
    tenants
      .map(
        ({ memory, rows, bits, ports }) =>
          `${memory} rows ${interval(rows)}, bits ${interval(bits)}, port ${ports.join(" and ")}`,
      )
      .join("; "),
  );
  for (const { label } of drawn) expect(described).toContain(label.replace(/^[\d,]+ blocks? \d+x\d+: /, ""));
}

describe("the blocks on the page", () => {
  it.each(["dish-controller", "correlator-array", "weather-mast"])(
    "are those of the plan: %s",
    async (design) => {
      const plan = await planOf(source(design).text);
      await inPage(design, async ({ page }) => {
        await matches(page, plan);
        const used = Object.values(plan.totals.blocks).reduce((sum, blocks) => sum + blocks, 0);
        expect(Number(await page.locator("[data-block-total]").getAttribute("data-block-total"))).toBe(used);
      });
    },
  );

  it("light up for a memory, wherever it lies", async () => {
    const plan = await planOf(source("dish-controller").text);
    await inPage("dish-controller", async ({ page }) => {
      const shared = plan.blocks.find(
        ({ tenants }) => new Set(tenants.map(({ memory }) => memory)).size > 1,
      )!;
      const { memory } = shared.tenants[0]!;
      await page.locator(`tbody .link:text-is("${memory}")`).click();
      const lit = await page
        .locator(".glyph.lit")
        .evaluateAll((all) => all.map((each) => each.getAttribute("data-memories")!));
      const all = (await glyphs(page)).filter(({ memories }) => memories.includes(memory));
      expect(lit).toEqual(all.map(({ memories }) => memories.join(" ")));
      expect(lit.length).toBeGreaterThan(0);
    });
  });

  it("can be shown each by itself, and scroll", async () => {
    await inPage("correlator-array", async ({ page }) => {
      await page.getByLabel("every block").check();
      const view = page.getByRole("region", { name: "Every block, drawn" });
      const height = await view.evaluate((element) => element.scrollHeight);
      await view.focus();
      await page.keyboard.press("+");
      await expect.poll(() => view.evaluate((element) => element.scrollHeight)).toBeGreaterThan(height);
      await page.keyboard.press("End");
      await expect.poll(() => view.evaluate((element) => element.scrollTop)).toBeGreaterThan(0);
    });
  });
});

describe("the explorer", () => {
  it("gives the numbers that pack gives for the changed text", async () => {
    await inPage("dish-controller", async ({ page }) => {
      await page.locator('[data-group="l1d"] summary').click();
      const ways = page.locator('[data-path="l1d.ways"]');
      await packedAfter(page, async () => {
        await ways.fill("2");
        await ways.press("Enter");
      });
      const text = await page.getByRole("textbox", { name: "Design text" }).inputValue();
      const original = source("dish-controller").text;
      expect(text).toBe(original.replace("size: 16 KiB, ways: 4", "size: 16 KiB, ways: 2"));
      const plan = await planOf(text);
      await matches(page, plan);
      const before = await planOf(original);
      const tag = (of: Plan) => of.memories.find(({ name }) => name === "l1d.tag")!.blocks.EBR!;
      const row = page.locator(".differences tr", { hasText: "l1d.tag" });
      expect(await row.locator("td").first().textContent()).toBe(`${tag(before)} → ${tag(plan)}`);
    });
  });

  it("takes sets as a number, packs on another device, and goes back and forth", async () => {
    await inPage("dish-controller", async ({ page }) => {
      const text = page.getByRole("textbox", { name: "Design text" });
      await page.locator('[data-group="l1d"] summary').click();
      await packedAfter(page, () => page.getByRole("button", { name: "l1d sets: double" }).click());
      expect(await text.inputValue()).toContain("name: l1d, instances: 3, size: 32 KiB, ways: 4");
      await packedAfter(page, () => page.getByLabel("Device").selectOption("xc7k325t"));
      await matches(page, await planOf(await text.inputValue(), "xc7k325t"));
      await packedAfter(page, () => page.getByRole("button", { name: "Undo" }).click());
      await packedAfter(page, () => page.getByRole("button", { name: "Undo" }).click());
      expect(await text.inputValue()).toBe(source("dish-controller").text);
      await matches(page, await planOf(source("dish-controller").text));
      await packedAfter(page, () => page.getByRole("button", { name: "Redo" }).click());
      expect(await text.inputValue()).toContain("size: 32 KiB, ways: 4");
    });
  });

  it("goes on from the last step where the next comes before its answer", async () => {
    await inPage("dish-controller", async ({ page }) => {
      await page.locator('[data-group="l1d"] summary').click();
      const sets = page.locator('[data-path="l1d.sets"]');
      await sets.focus();
      for (let i = 0; i < 3; i += 1) await page.keyboard.press("ArrowDown");
      const text = page.getByRole("textbox", { name: "Design text" });
      await expect.poll(() => text.inputValue()).toContain("name: l1d, instances: 3, size: 2 KiB, ways: 4");
      expect(await sets.inputValue()).toBe("8");
    });
  });

  it("starts from the file's design where the address holds none that can be read", async () => {
    await inPage(
      "weather-mast",
      async ({ page }) => {
        const text = await page.getByRole("textbox", { name: "Design text" }).inputValue();
        expect(text).toBe(source("weather-mast").text);
      },
      { hash: "#d1.no-design" },
    );
  });

  it("keeps its state in the address, so that a link reproduces it", async () => {
    await inPage("weather-mast", async ({ page }) => {
      await page.locator("[data-group] summary").last().click();
      const more = page.getByRole("button", { name: /: (?:double|one more)$/ }).last();
      await packedAfter(page, () => more.click());
      await expect.poll(() => page.url()).toContain("#d1.");
      const [url, text] = [page.url(), await page.getByRole("textbox", { name: "Design text" }).inputValue()];
      expect(text).not.toBe(source("weather-mast").text);
      const linked = await bench.open(files.get("weather-mast")!, { hash: url.slice(url.indexOf("#")) });
      expect(await linked.page.getByRole("textbox", { name: "Design text" }).inputValue()).toBe(text);
      expect(await shownTotals(linked.page)).toEqual(await shownTotals(page));
      await linked.page.close();
    });
  });

  it("needs no pointer", async () => {
    await inPage("weather-mast", async ({ page }) => {
      const reach = async (selector: string) => {
        for (let presses = 0; presses < 120; presses += 1) {
          if (await page.evaluate((to) => document.activeElement?.matches(to) ?? false, selector)) return;
          await page.keyboard.press("Tab");
        }
        throw new Error(`Tab does not reach ${selector}`);
      };
      await reach('[data-path="program.size"]');
      const before = await shownTotals(page);
      await packedAfter(page, () => page.keyboard.press("ArrowDown"));
      const text = await page.getByRole("textbox", { name: "Design text" }).inputValue();
      expect(text).not.toBe(source("weather-mast").text);
      await matches(page, await planOf(text));
      await reach(".glyph");
      await page.keyboard.press("ArrowRight");
      await page.keyboard.press("Enter");
      expect(await page.locator(".glyph.lit").count()).toBeGreaterThan(0);
      expect(await page.locator(".blocks .details").textContent()).toMatch(/rows [\d,]+/);
      await page.evaluate(() => (document.activeElement as HTMLElement).blur());
      await page.locator("header").evaluate((element) => {
        element.tabIndex = -1;
        element.focus();
      });
      await reach("header button:not(:disabled)");
      await packedAfter(page, () => page.keyboard.press("Enter"));
      expect(await shownTotals(page)).toEqual(before);
    });
  });
});

describe("the text", () => {
  it("shows errors at their line in the words of the command line", async () => {
    const file = "designs/weather-mast.yaml";
    const text = source("weather-mast")
      .text.replace(/depth: \d+/, "depth: many")
      .replace(/width: \d+/, "wdith: 8");
    const read = readDesign({ file, text });
    if (read.ok) throw new Error("the text has no error");
    const printed = printDiagnostics({ file, text }, read.diagnostics);
    await inPage("weather-mast", async ({ page }) => {
      const before = await shownTotals(page);
      await packedAfter(page, () => page.getByRole("textbox", { name: "Design text" }).fill(text));
      expect(await page.locator(".printed").textContent()).toBe(printed);
      const lines = [...printed.matchAll(/^designs\/weather-mast\.yaml:(\d+):/gm)].map(([, line]) => line);
      expect(lines.length).toBeGreaterThan(1);
      const marked = await page.locator(".gutter .error").allInnerTexts();
      expect(marked).toEqual([...new Set(lines)]);
      expect(await shownTotals(page)).toEqual(before);
      await page.locator(".problems .link").first().click();
      const line = await page.evaluate(() => {
        const area = document.activeElement as HTMLTextAreaElement;
        return area.value.slice(0, area.selectionStart).split("\n").length;
      });
      expect(String(line)).toBe(lines[0]);
    });
  });
});

describe("changes worth making", () => {
  it("come to what they say when they are applied", async () => {
    await inPage("weather-mast", async ({ page }) => {
      await page.getByRole("button", { name: "Look for changes" }).click();
      const first = page.locator("[data-row]").first();
      await first.waitFor();
      const said = (await first.locator(".figures span").first().textContent()) ?? "";
      await first.getByRole("button", { name: "Compare" }).click();
      await first.locator(".mini").nth(1).waitFor();
      const maps = await first.locator(".mini figcaption").allInnerTexts();
      const pools = [...said.matchAll(/([\d.]+) → ([\d.]+) (\w+)/g)].map(([, before, after, pool]) => ({
        pool: pool!,
        less: Number(before) - Number(after),
        after: Number(after),
      }));
      const [whole, left] = maps.map((map) => Number(/([\d.]+) block/.exec(map)![1]));
      expect(whole! - left!).toBe(pools.reduce((sum, { less }) => sum + less, 0));
      await packedAfter(page, () => first.getByRole("button", { name: "Apply" }).click());
      const shown = await shownTotals(page);
      for (const { pool, after } of pools) expect(shown[pool]).toBe(after);
      await matches(
        page,
        await planOf(await page.getByRole("textbox", { name: "Design text" }).inputValue()),
      );
    });
  });
});

describe("a sweep", () => {
  it("is drawn, and a point of it becomes the design", async () => {
    const file = join(bench.folder, "sweep.json");
    const { stdout } = await ramtailor(
      "sweep ../../../designs/weather-mast.yaml --vary log.depth=200,300,600,1200 --json",
    );
    writeFileSync(file, stdout);
    const swept = JSON.parse(stdout) as Sweep;
    const { page, requests, errors } = await bench.open(await bench.write("weather-mast", `--sweep ${file}`));
    const points = page.locator(".point");
    expect(await points.count()).toBe(swept.rows.length);
    // More capacity in no more blocks: by hand from the rows.
    const blocks = ({ usage }: SweepRow) =>
      Object.values(usage.blocks).reduce((sum, count) => sum + count, 0);
    const front = swept.rows.filter(
      (row) =>
        row.fits &&
        !swept.rows.some(
          (other) => other.fits && other.capacity > row.capacity && blocks(other) <= blocks(row),
        ),
    );
    expect(await page.locator(".point.best").count()).toBe(front.length);
    await points.first().focus();
    await page.keyboard.press("End");
    for (let i = 1; i < swept.rows.length; i += 1) await page.keyboard.press("ArrowRight");
    const last = swept.rows.toSorted((a, b) => a.capacity - b.capacity).at(-1)!;
    await packedAfter(page, () => page.keyboard.press("Enter"));
    const text = await page.getByRole("textbox", { name: "Design text" }).inputValue();
    expect(text).toContain(`name: log, depth: ${last.values["log.depth"]},`);
    await matches(page, await planOf(text));
    expect({ requests, errors }).toEqual({ requests: [], errors: [] });
    await page.close();
  });
});

describe("accessibility", () => {
  const views = [
    { theme: "light", width: 1280 },
    { theme: "dark", width: 1280 },
    { theme: "light", width: 390 },
    { theme: "dark", width: 390 },
  ] as const;

  it.each(views)("axe finds nothing: $theme, $width px", async (view) => {
    await inPage(
      "weather-mast",
      async ({ page }) => {
        const found = async () => {
          const { violations } = await page.evaluate(() =>
            (globalThis as unknown as { axe: typeof axe }).axe.run(),
          );
          return violations.map(({ id, nodes }) => ({
            id,
            nodes: nodes.map(({ html }) => html.slice(0, 160)),
          }));
        };
        await page.addScriptTag({ content: axe.source });
        expect(await found()).toEqual([]);
        const text = page.getByRole("textbox", { name: "Design text" });
        const wider = (await text.inputValue()).replace(/width: 8\b/, "width: 9");
        await packedAfter(page, () => text.fill(`${wider}\n`));
        await page.locator(".glyph").first().focus();
        await page.keyboard.press("Enter");
        await packedAfter(page, () => text.fill(wider.replace(/depth: \d+/, "depth: many")));
        await page.locator(".told-as summary").click();
        expect(await found()).toEqual([]);
        expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(
          view.width,
        );
      },
      view,
    );
  });
});
