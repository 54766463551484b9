import type { Point } from "../../../photo/index.js";
import { button, fill, h } from "../dom.js";
import { drawLoupe, LOUPE_SIZE } from "./loupe.js";
import type { Mark } from "./marks.js";

/** A picture with points on it that are dragged, or moved by the arrow keys. */
export interface Picture {
  readonly element: HTMLElement;
  /** Loads a photo; resolves with its size, px. */
  load(photo: Blob): Promise<Point>;
  /** Draws the points anew after some were added or taken away. */
  show(marks: readonly Mark[]): void;
}

const SVG = "http://www.w3.org/2000/svg";
/** Zoom steps, as times the width that fits. */
const zooms = [1, 1.5, 2.25, 3.5, 5] as const;

/**
 * A place for a picture.
 *
 * @param moved - called while points move
 * @param tapped - called with the place where the picture itself was tapped, px
 */
export function makePicture(moved: () => void, tapped: (at: Point) => void): Picture {
  const image = h("img", { alt: "The photo that is measured", draggable: "false" });
  const lines = document.createElementNS(SVG, "svg");
  lines.setAttribute("aria-hidden", "true");
  const handles = h("div", { class: "handles" });
  const sheet = h("div", { class: "picture" }, image, handles);
  image.after(lines);
  const stage = h(
    "div",
    { class: "stage", tabindex: 0, role: "group", "aria-label": "Photo with points" },
    sheet,
  );
  const loupe = h("canvas", {
    class: "loupe",
    width: LOUPE_SIZE,
    height: LOUPE_SIZE,
    hidden: true,
    "aria-hidden": "true",
  });
  let marks: readonly Mark[] = [];
  let zoom = 0;
  const scale = (): number => sheet.clientWidth / Math.max(image.naturalWidth, 1);

  image.addEventListener("click", (event) => {
    const box = image.getBoundingClientRect();
    tapped({ x: (event.clientX - box.left) / scale(), y: (event.clientY - box.top) / scale() });
  });

  function resize(): void {
    sheet.style.width = `${100 * zooms[zoom]!}%`;
    place();
  }

  function place(): void {
    marks.forEach((mark, k) => {
      const handle = handles.children[k] as HTMLElement | undefined;
      if (handle === undefined) return;
      handle.style.left = `${(100 * mark.at.x) / image.naturalWidth}%`;
      handle.style.top = `${(100 * mark.at.y) / image.naturalHeight}%`;
    });
    lines.setAttribute("viewBox", `0 0 ${image.naturalWidth || 1} ${image.naturalHeight || 1}`);
    lines.replaceChildren(
      ...["scale", "first", "second", "outline"].flatMap((group) => lineOf(group as Mark["group"])),
    );
  }

  function lineOf(group: Mark["group"]): readonly Element[] {
    const points = marks.filter((mark) => mark.group === group).map(({ at }) => `${at.x},${at.y}`);
    if (points.length < 2) return [];
    const closed = group === "outline" || (points.length === 4 && group === "scale");
    const line = document.createElementNS(SVG, closed ? "polygon" : "polyline");
    line.setAttribute("points", points.join(" "));
    line.setAttribute("class", `line ${group}`);
    return [line];
  }

  function put(mark: Mark, at: Point): void {
    const within = (value: number, most: number): number => Math.min(Math.max(value, 0), most);
    mark.at = { x: within(at.x, image.naturalWidth), y: within(at.y, image.naturalHeight) };
    place();
    drawLoupe(loupe, image, mark.at);
    moved();
  }

  function handleOf(mark: Mark): HTMLButtonElement {
    const handle = button({ class: `handle ${mark.group}`, "aria-label": mark.label, tap: () => undefined });
    let from: { readonly at: Point; readonly x: number; readonly y: number } | undefined;
    const look = (on: boolean): void => {
      loupe.hidden = !on;
      // Where the finger is not.
      loupe.classList.toggle("right", mark.at.x < image.naturalWidth / 2);
      if (on) drawLoupe(loupe, image, mark.at);
    };
    handle.addEventListener("pointerdown", (event) => {
      from = { at: mark.at, x: event.clientX, y: event.clientY };
      handle.setPointerCapture(event.pointerId);
      handle.focus({ preventScroll: true });
      event.preventDefault();
      look(true);
    });
    handle.addEventListener("pointermove", (event) => {
      if (from === undefined) return;
      put(mark, {
        x: from.at.x + (event.clientX - from.x) / scale(),
        y: from.at.y + (event.clientY - from.y) / scale(),
      });
    });
    const drop = (): void => {
      from = undefined;
    };
    handle.addEventListener("pointerup", drop);
    handle.addEventListener("pointercancel", drop);
    handle.addEventListener("focus", () => look(true));
    handle.addEventListener("blur", () => look(false));
    handle.addEventListener("keydown", (event) => {
      const step = event.shiftKey ? 10 : 1;
      const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
      if (by === undefined) return;
      event.preventDefault();
      put(mark, { x: mark.at.x + step * by[0]!, y: mark.at.y + step * by[1]! });
    });
    return handle;
  }

  const nearer = (by: number): void => {
    zoom = Math.min(Math.max(zoom + by, 0), zooms.length - 1);
    resize();
  };
  return {
    element: h(
      "div",
      { class: "picture-place" },
      h(
        "div",
        { class: "row" },
        button({ class: "quiet", tap: () => nearer(1) }, "Nearer"),
        button({ class: "quiet", tap: () => nearer(-1) }, "Farther"),
      ),
      h("div", { class: "stage-place" }, stage, loupe),
    ),
    async load(photo) {
      const url = URL.createObjectURL(photo);
      image.src = url;
      await image.decode();
      URL.revokeObjectURL(url);
      resize();
      return { x: image.naturalWidth, y: image.naturalHeight };
    },
    show(wanted) {
      marks = wanted;
      fill(handles, ...marks.map(handleOf));
      place();
    },
  };
}
