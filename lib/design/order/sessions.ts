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
 *
 * @param blocks - number of blocks; a block starts a new session
 */
export function runsBesideControls(coupons: number, size: number, blocks: number, control: boolean): number {
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
 *
 * @param order - run numbers in order of work
 * @param blocks - block of each run
 */
export function cutSessions(
  order: readonly number[],
  blocks: readonly number[],
  size: number,
  control: boolean,
): readonly Slot[] {
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
