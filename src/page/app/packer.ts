import packerScript from "virtual:packer";
import type { PageStart } from "../../report/page.js";
import type { Answer, Request } from "../worker/messages.js";

/** A request before it is numbered. */
export type Job =
  | Omit<Extract<Request, { kind: "pack" }>, "id" | "engine">
  | Omit<Extract<Request, { kind: "reshape" }>, "id">;

/** How long a newer job waits for the one at work before it takes its place, in milliseconds. */
const PATIENCE = 1500;
/** How long beyond its deadline a packing may take before its worker is ended, in milliseconds. */
const GRACE = 4000;

const address = URL.createObjectURL(new Blob([packerScript], { type: "text/javascript" }));

/**
 * A worker that packs, one job at a time; of jobs that come while it is busy, the last one counts. A packing that does
 * not end by itself is ended with its worker: once it is tried again without the engine that knows no deadline.
 */
export class Packer {
  private worker: Worker | null = null;
  private current: Exclude<Request, { kind: "start" }> | null = null;
  private started = 0;
  private next: Job | null = null;
  private timer: ReturnType<typeof setTimeout> | undefined;
  private id = 0;

  constructor(
    private readonly start: PageStart,
    private readonly answered: (answer: Answer) => void,
  ) {}

  /** Takes the place of every job before it. */
  run(job: Job): void {
    if (this.current === null) {
      this.send(job);
      return;
    }
    this.next = job;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.restart(), Math.max(0, PATIENCE - (performance.now() - this.started)));
  }

  /** Ends what is at work; nothing is answered. */
  stop(): void {
    clearTimeout(this.timer);
    this.worker?.terminate();
    this.worker = null;
    this.current = null;
    this.next = null;
  }

  private send(job: Job, engine: "auto" | "highs" = "auto"): void {
    this.worker ??= this.boot();
    this.id += 1;
    this.current = job.kind === "pack" ? { ...job, id: this.id, engine } : { ...job, id: this.id };
    this.started = performance.now();
    this.worker.postMessage(this.current);
    if (job.kind === "pack") {
      this.timer = setTimeout(() => this.outOfTime(job, engine), job.deadlineMs + GRACE);
    }
  }

  private boot(): Worker {
    const worker = new Worker(address);
    worker.postMessage({ kind: "start", devices: this.start.devices } satisfies Request);
    worker.onmessage = ({ data }: MessageEvent<Answer>) => {
      if (data.id !== this.current?.id) return;
      clearTimeout(this.timer);
      const next = this.next;
      this.current = null;
      this.next = null;
      // An answer that a newer job overtakes is not shown: what it was asked for is part of that job.
      if (next === null) this.answered(data);
      else this.send(next);
    };
    worker.onerror = (event) => {
      const id = this.id;
      this.stop();
      this.answered({ kind: "fault", id, message: event.message });
    };
    return worker;
  }

  private restart(): void {
    const job = this.next;
    this.stop();
    if (job !== null) this.send(job);
  }

  private outOfTime(job: Job, engine: "auto" | "highs"): void {
    this.stop();
    if (engine === "auto") this.send(job, "highs");
    else this.answered({ kind: "fault", id: this.id, message: "the packing did not end in time" });
  }
}
