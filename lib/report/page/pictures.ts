import { escapeMarkup } from "../../charts/index.js";
import { ownValue } from "../../errors/index.js";
import type { Settings } from "../../models/index.js";
import type { Explorer, TriedCoupon } from "../../window/index.js";
import { mapAbout, mapLegend, mapSvg, sliceSvg, slicesThrough } from "../explorer/index.js";

/** The pictures of an explorer. */
export interface Pictures {
  /** Draws them for other settings, at the next moment the browser paints. */
  readonly show: (settings: Settings) => void;
}

/** What the pictures are drawn from. */
export interface PictureParts {
  readonly explorer: Explorer;
  readonly level: number;
  readonly tried: readonly TriedCoupon[];
}

/** Most px a slice is wide, and the height of slices and of the map by their width. */
const SLICE = { widest: 360, height: 170 } as const;
const MAP = { widest: 620, tallness: 0.75 } as const;

/** Makes the pictures of the page; they are drawn anew when their room changes. */
export function makePictures({ explorer, level, tried }: PictureParts): Pictures {
  const slices = document.getElementById("explorer-slices");
  const map = document.getElementById("explorer-map");
  const ends = new Map(
    explorer.axes.map(({ name }) => {
      const values = tried.map(({ settings }) => Number(ownValue(settings, name)));
      return [name, [Math.min(...values), Math.max(...values)] as const];
    }),
  );
  let settings: Settings = {};
  let waiting = false;

  const drawSlices = (room: HTMLElement): void => {
    const columns = Math.max(1, Math.round(room.clientWidth / SLICE.widest));
    const width = Math.floor((room.clientWidth - 8 * (columns - 1)) / columns);
    room.innerHTML = slicesThrough(explorer, settings)
      .map((slice, j) => {
        const range = tried.length === 0 ? {} : { tried: ends.get(slice.axis.name)! };
        return sliceSvg(
          { ...slice, ...range },
          { id: `explorer-slice-${j}`, width, height: SLICE.height, level },
        );
      })
      .join("");
  };
  const drawMap = (room: HTMLElement): void => {
    const axisOf = (id: string) => {
      const select = document.getElementById(id) as HTMLSelectElement;
      return explorer.axes[Number(select.value)]!;
    };
    const [x, y] = [axisOf("explorer-x"), axisOf("explorer-y")];
    const legend = document.getElementById("explorer-legend")!;
    if (x === y) {
      room.innerHTML = "<p>Choose two different settings.</p>";
      legend.innerHTML = "";
      return;
    }
    const view = mapAbout(explorer, settings, { x, y });
    const width = Math.min(room.clientWidth, MAP.widest);
    const height = Math.round(MAP.tallness * width);
    room.innerHTML = mapSvg(view, { width, height, level, settings, tried });
    legend.innerHTML = mapLegend(view)
      .map(([label, colour]) => {
        const patch = `<svg width="14" height="14" aria-hidden="true"><rect width="14" height="14" fill="${colour}"/></svg>`;
        return `<li>${patch} ${escapeMarkup(label)}</li>`;
      })
      .join("");
  };
  const draw = (): void => {
    waiting = false;
    if (slices !== null) drawSlices(slices);
    if (map !== null) drawMap(map);
  };
  const soon = (): void => {
    if (waiting) return;
    waiting = true;
    requestAnimationFrame(draw);
  };
  for (const id of ["explorer-x", "explorer-y"])
    document.getElementById(id)?.addEventListener("change", soon);
  const watcher = new ResizeObserver(soon);
  for (const room of [slices, map]) if (room !== null) watcher.observe(room);
  return {
    show(next) {
      settings = next;
      soon();
    },
  };
}
