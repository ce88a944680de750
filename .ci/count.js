// @ts-check
/**
 * Prints `N passed, N failed` from the test runner's JSON results, and exits 1 where anything failed or nothing
 * passed. A test file that could not run counts as one failure: none of its tests is counted as failed.
 */
import { readFileSync } from "node:fs";

/** @type {{ success: boolean, testResults: { status: string, assertionResults: { status: string }[] }[] }} */
const { success, testResults } = JSON.parse(readFileSync(process.argv[2] ?? "", "utf8"));

let passed = 0;
let failed = 0;
for (const { status, assertionResults } of testResults) {
  const failures = assertionResults.filter((test) => test.status === "failed").length;
  passed += assertionResults.filter((test) => test.status === "passed").length;
  failed += failures === 0 && status === "failed" ? 1 : failures;
}
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = success && failed === 0 && passed > 0 ? 0 : 1;
