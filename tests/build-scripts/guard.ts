/**
 * A build step in TypeScript on the library: fails where the design takes more blocks than it may, or more than in the plan
 * that was accepted, and writes the plan otherwise. `node guard.js soc.yaml 5 1`; `node guard.js soc.yaml accept` takes the
 * plan as it is now.
 */
import { writeFileSync } from "node:fs";
import {
  type Axis,
  type Comparison,
  checkAgainstDevice,
  comparePlans,
  compareTable,
  type Design,
  type Device,
  derive,
  hasErrors,
  InputError,
  loadDesign,
  loadDevice,
  loadPlan,
  type Plan,
  pack,
  planJson,
  printDiagnostics,
  type Reshaped,
  readAxis,
  reshape,
  type Sweep,
  sweep,
} from "ramtailor";

const [file = "", most = "", more = ""] = process.argv.slice(2);

async function main(): Promise<number> {
  const read = loadDesign(file);
  const device: Device = loadDevice(read.design.device ?? "ecp5-25f");
  const found = checkAgainstDevice(read, device);
  if (hasErrors(found)) throw new InputError(read.source, found);

  const plan: Plan = await pack(read.design, device, {
    signal: AbortSignal.timeout(60_000),
    deadlineMs: 5_000,
  });
  if (most === "accept") {
    writeFileSync("accepted.json", planJson(plan));
    return 0;
  }
  const blocks: number = plan.totals.blocks.EBR ?? 0;
  if (blocks > Number(most)) {
    console.error(`${plan.design} takes ${blocks} blocks, ${most} are allowed`);
    return 1;
  }
  const { plan: accepted } = loadPlan("accepted.json");
  const comparison: Comparison = comparePlans(accepted, plan, { named: { EBR: Number(more) } });
  if (!comparison.passed) {
    console.error(compareTable(comparison));
    return 1;
  }
  writeFileSync("plan.json", planJson(plan));

  // The same design as plain data packs to the same plan.
  const { requests } = read.design;
  const data: Design = derive({
    design: "data",
    memories: requests.map(({ name, depth, width, ports }) => ({
      name,
      depth,
      width,
      ports: ports.readWrite > 0 ? `${ports.readWrite}rw` : `${ports.read}r${ports.write}w`,
    })),
  }).design;
  const again: Plan = await pack(data, device);
  if (again.totals.blocks.EBR !== blocks) throw new Error("the data differ from the file");

  const steps: number[] = [];
  const changes: Reshaped = await reshape(read, device, { onProgress: ({ done }) => steps.push(done) });
  if (changes.before.blocks.EBR !== blocks || steps.length === 0) throw new Error("reshape differs");

  const axes: Axis[] = [readAxis("samples.depth=512,1024")];
  const swept: Sweep = await sweep({ source: read.source, axes, devices: [device], jobs: 1 });
  if (swept.rows.length !== 2) throw new Error("sweep differs");
  return 0;
}

try {
  process.exitCode = await main();
} catch (error) {
  if (!(error instanceof InputError)) throw error;
  process.stderr.write(printDiagnostics(error.source, error.diagnostics));
  process.exitCode = 2;
}
