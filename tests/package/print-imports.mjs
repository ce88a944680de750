// @ts-check
/** For `node --import`: at the end of a program, the URLs of the modules that it imported, as JSON on stderr. */
import { writeSync } from "node:fs";
import { register } from "node:module";
import { MessageChannel, receiveMessageOnPort } from "node:worker_threads";

const { port1, port2 } = new MessageChannel();
port1.unref();
register(new URL("./tell-imports.mjs", import.meta.url), { data: port2, transferList: [port2] });

process.on("exit", () => {
  const urls = [];
  for (;;) {
    const received = receiveMessageOnPort(port1);
    if (received === undefined) break;
    urls.push(received.message);
  }
  writeSync(2, JSON.stringify(urls));
});
