import { type Pause, pauseFor } from "../model/pause.js";
import type { Engine } from "./protocol.js";
import { msUntil } from "./time-left.js";
import type { RunLimits } from "./worker-host.js";

/** What all stages of one solving share: the time that is left, and who closed stages or failed. */
export class Solving {
  /** When to stop with what is known, in milliseconds as `Date.now()` gives them. */
  readonly stopAt: number;
  private readonly since = Date.now();
  /** Called now and then in long work: rejects where the work is to end. */
  readonly pause: Pause;
  private readonly closers = new Set<string>();
  /** Why an engine failed, the first time that it did. */
  private readonly reasons = new Map<Engine, string>();

  constructor(
    private readonly deadlineMs: number,
    readonly signal: AbortSignal | undefined,
  ) {
    this.stopAt = this.since + deadlineMs;
    this.pause = pauseFor(signal);
  }

  /** When a part of the whole time has gone by, in milliseconds as `Date.now()` gives them. */
  afterPart(part: number): number {
    return this.since + part * this.deadlineMs;
  }

  get isLate(): boolean {
    return Date.now() > this.stopAt;
  }

  /** What is left of the deadline for a run of an engine. */
  get timeLeft(): RunLimits {
    return { deadlineMs: msUntil(this.stopAt), signal: this.signal };
  }

  closedBy(name: string): void {
    this.closers.add(name);
  }

  failed(engine: Engine, reason: string): void {
    if (!this.reasons.has(engine)) this.reasons.set(engine, reason);
  }

  /** Who closed stages so far; `none` where nobody had to. */
  get engines(): string {
    return this.closers.size === 0 ? "none" : [...this.closers].sort().join(" + ");
  }

  /** Why engines failed, one reason for each. */
  get failures(): string[] {
    return [...this.reasons].map(([engine, reason]) => `${engine}: ${reason}`);
  }
}
