import type { Command } from "commander";
import { EXIT, type Io, textOptions } from "./io.js";
import { addJson } from "./options.js";

/** `devices [NAME]`: prints the devices that are known, or one in full. */
export function addDevices(program: Command, io: Io, finish: (exit: number) => void): void {
  const command = program
    .command("devices")
    .description("print the devices that are known, or one with its shapes, lanes and counts")
    .argument("[device]", "a device's name or the path of a device file");
  addJson(command).action(async (name: string | undefined, options: { readonly json?: true }) => {
    const { deviceJson, devicesJson, devicesTable, deviceTable } = await import("../report/devices.js");
    if (name !== undefined) {
      const { openDevice } = await import("./load.js");
      const device = openDevice(name, io);
      io.stdout.write(options.json ? deviceJson(device) : deviceTable(device, textOptions(io)));
    } else {
      const { listDevices } = await import("../input/find-device.js");
      const devices = listDevices();
      io.stdout.write(options.json ? devicesJson(devices) : devicesTable(devices, textOptions(io)));
    }
    finish(EXIT.done);
  });
}
