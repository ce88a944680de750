import type { Io } from "./io.js";

/** Shows how far a long command is. */
export interface Bar {
  show(progress: { readonly done: number; readonly total: number }): void;
  /** Takes the bar off the screen. */
  end(): void;
}

/** A bar with the time left on the terminal that stderr is; null where it is none. */
export async function progressBar({ terminal }: Io): Promise<Bar | null> {
  if (terminal === undefined) return null;
  const { default: progress } = await import("cli-progress");
  const bar = new progress.SingleBar({
    format: "{bar} {value} of {total}, {eta_formatted} left",
    stream: terminal,
    clearOnComplete: true,
    hideCursor: true,
    etaBuffer: 50,
    // The terminal stays in its own mode, so that Ctrl-C reaches the program.
    gracefulExit: false,
  });
  let started = false;
  return {
    show({ done, total }) {
      if (started) return bar.update(done);
      started = true;
      bar.start(total, done);
    },
    end() {
      if (started) bar.stop();
    },
  };
}
