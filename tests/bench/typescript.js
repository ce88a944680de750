/**
 * Lets Node run the sources as they are published: types taken off and nothing added (`node --import ./tests/bench/typescript.js`).
 * What tsx runs names every closure as it is made, of which candidates make thousands: a tenth to a quarter of their time.
 */
import { register } from "node:module";

register("./typescript-hooks.js", import.meta.url);
