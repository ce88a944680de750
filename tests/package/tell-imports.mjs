// @ts-check
/** Hooks of Node's loader of modules: each module that is loaded is told by its URL. */

/** @type {import("node:worker_threads").MessagePort} */
let port;

/** @param {import("node:worker_threads").MessagePort} given */
export function initialize(given) {
  port = given;
}

/** @type {import("node:module").LoadHook} */
export function load(url, context, next) {
  port.postMessage(url);
  return next(url, context);
}
