import { requireThat } from "../../errors/index.js";

/** A place in the order of work: a run's number, or a control coupon. */
export interface Slot {
  readonly run: number | "control";
  /** From 1. */
  readonly session: number;
}

/** Coupons of each block that still fit beside the control coupons. */
function sessionsNeeded(runsPerBlock: readonly number[], perSession: number): number {
  return runsPerBlock.reduce((sum, runs) => sum + Math.ceil(runs / perSession), 0);
}

/**
 * Most runs that fit into `coupons` when every session of `size` coupons starts with a control coupon.
 */
export function runsBesideControls({
  coupons,
  size,
  blocks,
  control,
}: {
  readonly coupons: number;
  readonly size: number;
  /** Number of blocks; a block starts a new session. */
  readonly blocks: number;
  readonly control: boolean;
}): number {
  requireThat(
    Number.isInteger(size) && size >= (control ? 2 : 1),
    `a session needs at least ${control ? "2 coupons, one of them the control" : "1 coupon"}, got ${size}`,
  );
  if (!control) return coupons;
  for (let runs = coupons; runs > 0; runs--) {
    const perBlock = Array.from({ length: blocks }, (_, b) => Math.floor((runs + blocks - 1 - b) / blocks));
    if (runs + sessionsNeeded(perBlock, size - 1) <= coupons) return runs;
  }
  return 0;
}

/**
 * Cuts an order of work into sessions, each opened by a control coupon when asked for; a new block opens a
 * new session.
 */
export function cutSessions({
  order,
  blocks,
  size,
  control,
}: {
  /** Run numbers in order of work. */
  readonly order: readonly number[];
  /** Block of each run. */
  readonly blocks: readonly number[];
  readonly size: number;
  readonly control: boolean;
}): readonly Slot[] {
  const slots: Slot[] = [];
  let session = 0;
  let held = size;
  for (const [place, run] of order.entries()) {
    const newBlock = place > 0 && blocks[run] !== blocks[order[place - 1]!];
    if (held >= size || newBlock) {
      session++;
      held = 0;
      if (control) {
        slots.push({ run: "control", session });
        held = 1;
      }
    }
    slots.push({ run, session });
    held++;
  }
  return slots;
}
