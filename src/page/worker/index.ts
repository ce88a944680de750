/**
 * The page's worker: the packer, in a thread of its own. In: requests (messages.ts). Out: one answer to each. May import
 * everything below the command line.
 */
import { addDevices } from "../substitutes/find-device.js";
import type { Answer, Request } from "./messages.js";
import { adviseText, packText } from "./work.js";

// The page's types are those of a window.
const thread = self as unknown as {
  onmessage: ((event: { readonly data: Request }) => void) | null;
  postMessage(answer: Answer): void;
};

thread.onmessage = async ({ data: request }) => {
  if (request.kind === "start") {
    addDevices(request.devices);
    return;
  }
  try {
    thread.postMessage(request.kind === "pack" ? await packText(request) : await adviseText(request));
  } catch (error) {
    thread.postMessage({ kind: "fault", id: request.id, message: String(error) });
  }
};
