/** A mark or an item of a drawn scene, as far as it is asked here. */
export interface SceneItem {
  readonly marktype?: string;
  readonly items?: readonly SceneItem[];
  readonly bounds?: Box;
  readonly x?: number;
  readonly y?: number;
  readonly text?: unknown;
  readonly opacity?: number;
}

interface Box {
  readonly x1: number;
  readonly x2: number;
  readonly y1: number;
  readonly y2: number;
}

/** Distances by side, px. */
export interface Sides {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** How far texts of a scene reach out of a frame on each side, rounded up to whole px; 0 where none does. */
export function overflow(root: SceneItem, frame: Sides): Sides {
  const beyond = { left: 0, top: 0, right: 0, bottom: 0 };
  const visit = (mark: SceneItem, dx: number, dy: number): void => {
    for (const item of mark.items ?? []) {
      if (mark.marktype === "group") {
        const [x, y] = [dx + (item.x ?? 0), dy + (item.y ?? 0)];
        for (const inner of item.items ?? []) visit(inner, x, y);
      } else if (mark.marktype === "text" && item.opacity !== 0 && item.bounds !== undefined) {
        const { x1, x2, y1, y2 } = item.bounds;
        // Bounds of an empty text are turned inside out.
        if (x2 < x1) continue;
        beyond.left = Math.max(beyond.left, Math.ceil(frame.left - (dx + x1)));
        beyond.right = Math.max(beyond.right, Math.ceil(dx + x2 - frame.right));
        beyond.top = Math.max(beyond.top, Math.ceil(frame.top - (dy + y1)));
        beyond.bottom = Math.max(beyond.bottom, Math.ceil(dy + y2 - frame.bottom));
      }
    }
  };
  visit(root, 0, 0);
  return beyond;
}
