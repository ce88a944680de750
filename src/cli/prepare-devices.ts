import { writeFileSync } from "node:fs";
import { prepareDevices } from "../input/find-device.js";

// A step of the build: what it writes spares every start of the program the reading of the shipped device files.
writeFileSync(new URL("../devices.json", import.meta.url), JSON.stringify(prepareDevices()));
