import type { Point } from "../../../photo/index.js";

/** Side of the magnified piece, px of the screen. */
export const LOUPE_SIZE = 168;
/** Pixels of the picture across it, at most: each is then four of the screen. */
const ACROSS = 42;

/** Draws the surroundings of a point magnified, with the point where the lines cross. */
export function drawLoupe(canvas: HTMLCanvasElement, image: HTMLImageElement, at: Point): void {
  const pen = canvas.getContext("2d");
  if (pen === null || image.naturalWidth === 0) return;
  const middle = LOUPE_SIZE / 2;
  pen.imageSmoothingEnabled = false;
  pen.fillStyle = "#808080";
  pen.fillRect(0, 0, LOUPE_SIZE, LOUPE_SIZE);
  const scale = LOUPE_SIZE / ACROSS;
  pen.setTransform(scale, 0, 0, scale, middle - scale * at.x, middle - scale * at.y);
  pen.drawImage(image, 0, 0);
  pen.resetTransform();
  for (const [colour, width] of [
    ["#ffffff", 3],
    ["#000000", 1],
  ] as const) {
    pen.strokeStyle = colour;
    pen.lineWidth = width;
    pen.beginPath();
    for (const gap of [-1, 1]) {
      pen.moveTo(middle + gap * 8, middle);
      pen.lineTo(middle + gap * middle, middle);
      pen.moveTo(middle, middle + gap * 8);
      pen.lineTo(middle, middle + gap * middle);
    }
    pen.stroke();
  }
}
