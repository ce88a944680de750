import { letOthersIn } from "../model/pause.js";
import type { Outcome } from "./outcome.js";
import { tasksAtOnce } from "./worker-host.js";

interface Begun<R> {
  readonly run: R;
  readonly outcome: Promise<Outcome>;
  /** What it came to; null: it has not ended. */
  ended: Outcome | null;
  readonly stop: () => void;
  readonly tellAlone: () => void;
  /** When it was begun, as `performance.now()` gives it. */
  readonly since: number;
}

/** A run that ends within so many milliseconds is not worth beginning the next one beside it. */
const AT_ONCE_MS = 8;

/** What is sought in a run: all solutions up to a value, and perhaps dearer ones. */
interface UpTo {
  readonly value: number;
}

/** A run with what it came to. */
export interface Ended<R> {
  readonly run: R;
  readonly outcome: Outcome;
}

/**
 * Begins a run.
 *
 * @param enough stops it
 * @param alone resolves when it is the only one that goes on, and no other is begun before it has ended
 */
type Start<R> = (run: R, enough: AbortSignal, alone: Promise<void>) => Promise<Outcome>;

/** Whether a run that has ended says that one before it, up to a lower value, has no solution that is worth as little. */
function saysNoneUpTo({ outcome }: Ended<UpTo>, { value }: UpTo): boolean {
  return outcome.status === "infeasible" || (outcome.status === "optimal" && outcome.value > value);
}

/**
 * Runs of an engine that have an order, as many at once as the machine has room for. Each is over all that the one
 * before it is over, and more. What they come to is told in their order, so that nothing which rests on it depends on
 * the clock.
 */
export class Runs<R extends UpTo> {
  private readonly begun: Begun<R>[] = [];

  private constructor(
    private readonly atOnce: number,
    private readonly start: Start<R>,
    private readonly saysNone: (later: Ended<R>, before: R) => boolean,
  ) {}

  /**
   * @param start begins a run
   * @param saysNone whether one run that has ended makes another before it needless, which then counts as one without a solution; whether it had
   *     ended by itself must make no difference. By default runs look for no solution that is dearer than their value.
   */
  static async of<R extends UpTo>(
    start: Start<R>,
    saysNone: (later: Ended<R>, before: R) => boolean = saysNoneUpTo,
  ): Promise<Runs<R>> {
    return new Runs(await tasksAtOnce(), start, saysNone);
  }

  /** Whether another run is to be begun now: there is none, or there is room and those before it do not end at once. */
  async wantsMore(): Promise<boolean> {
    const [first] = this.begun;
    if (first === undefined) return true;
    if (this.begun.length >= this.atOnce) return false;
    const wait = AT_ONCE_MS - (performance.now() - first.since);
    if (wait > 0) await Promise.race([first.outcome, new Promise((resume) => setTimeout(resume, wait))]);
    return first.ended === null;
  }

  /** The one that was begun last, if it was not told yet. */
  get last(): R | null {
    return this.begun.at(-1)?.run ?? null;
  }

  get isEmpty(): boolean {
    return this.size === 0;
  }

  /** How many were begun and not told yet. */
  get size(): number {
    return this.begun.length;
  }

  /** Resolves when the run is on its way, so that it need not wait for work that keeps this thread. */
  async begin(run: R): Promise<void> {
    const controller = new AbortController();
    let tellAlone = () => {};
    const alone = new Promise<void>((resolve) => {
      tellAlone = resolve;
    });
    const begun: Begun<R> = {
      run,
      outcome: this.start(run, controller.signal, alone),
      ended: null,
      stop: () => {
        controller.abort();
        tellAlone();
      },
      tellAlone,
      since: performance.now(),
    };
    begun.outcome.then((outcome) => {
      begun.ended = outcome;
    });
    this.begun.push(begun);
    await letOthersIn();
  }

  /** The first one that was not told yet, if it has ended. */
  get first(): Ended<R> | null {
    const [first] = this.begun;
    return first === undefined || first.ended === null ? null : { run: first.run, outcome: first.ended };
  }

  /**
   * Waits for the first one that was not told yet. It is stopped where a later one says that it has no solution.
   *
   * @param isEnd whether no other is begun before
   */
  async next(isEnd = false): Promise<Ended<R>> {
    for (;;) {
      const [first, ...later] = this.begun;
      const isEmpty = later.some(
        ({ run, ended }) => ended !== null && this.saysNone({ run, outcome: ended }, first!.run),
      );
      const outcome = first!.ended ?? (isEmpty ? ({ status: "infeasible" } as const) : null);
      if (outcome === null) {
        const isFull = isEnd || this.begun.length >= this.atOnce;
        if (isFull && later.every(({ ended }) => ended !== null)) first!.tellAlone();
        await Promise.race(this.begun.flatMap((each) => (each.ended === null ? [each.outcome] : [])));
        continue;
      }
      if (isEmpty) first!.stop();
      this.begun.shift();
      return { run: first!.run, outcome };
    }
  }

  /** Stops all that have not ended. */
  stop(): void {
    for (const each of this.begun.splice(0)) if (each.ended === null) each.stop();
  }
}
