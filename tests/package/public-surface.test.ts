import { copyFileSync, existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { Extractor, ExtractorConfig, ExtractorLogLevel } from "@microsoft/api-extractor";
import { afterAll, expect, it } from "vitest";

const path = (name: string) => fileURLToPath(new URL(name, import.meta.url));
const HELD = path("ramtailor.api.md");
const folder = mkdtempSync(join(tmpdir(), "surface-"));
const MADE = join(folder, "ramtailor.api.md");
afterAll(() => rmSync(folder, { recursive: true }));

/**
 * The public surface, every name of it with its signature, is what `ramtailor.api.md` beside this file says. A change of it is
 * meant: `RAMTAILOR_API=write npx vitest run tests/package/public-surface.test.ts` writes the file anew.
 */
it("the library's surface is the one that is held", () => {
  const config = ExtractorConfig.prepare({
    configObject: {
      projectFolder: path("../.."),
      mainEntryPointFilePath: path("../../dist/index.d.ts"),
      newlineKind: "lf",
      compiler: { tsconfigFilePath: path("../../tsconfig.build.json") },
      apiReport: {
        enabled: true,
        reportFileName: "ramtailor",
        reportFolder: path("."),
        reportTempFolder: folder,
      },
      docModel: { enabled: false },
      dtsRollup: { enabled: false },
      tsdocMetadata: { enabled: false },
      messages: {
        extractorMessageReporting: { default: { logLevel: ExtractorLogLevel.None } },
        tsdocMessageReporting: { default: { logLevel: ExtractorLogLevel.None } },
        compilerMessageReporting: { default: { logLevel: ExtractorLogLevel.None } },
      },
    },
    configObjectFullPath: undefined,
    packageJsonFullPath: path("../../package.json"),
  });
  const { apiReportChanged } = Extractor.invoke(config, {
    localBuild: false,
    messageCallback: (message) => {
      message.handled = true;
    },
  });
  expect(existsSync(MADE)).toBe(true);
  if (process.env.RAMTAILOR_API === "write") copyFileSync(MADE, HELD);
  else expect(apiReportChanged, "the surface differs from tests/package/ramtailor.api.md").toBe(false);
});
