import { fixed } from "../../numeric/format/index.js";
import { button, h } from "./dom.js";

/** Seconds of arc, started and stopped by hand; several burns of one coupon add up. */
export interface ArcClock {
  readonly element: HTMLElement;
  /** Seconds so far, to a tenth; undefined while it never ran. */
  seconds(): number | undefined;
  stop(): void;
}

/** A clock for the arc of one coupon, beside the time of day; it goes on from seconds kept before. */
export function makeArcClock(kept = 0): ArcClock {
  let before = kept;
  let since: number | undefined;
  const spent = (): number => before + (since === undefined ? 0 : (performance.now() - since) / 1000);
  const shown = h("output", { class: "arc-seconds" });
  const day = h("span", { class: "time-of-day" });
  const startStop = button({ class: "arc", tap: toggle }, "Arc on");
  const clear = button(
    {
      class: "quiet",
      tap: () => {
        before = 0;
        since = undefined;
        show();
      },
    },
    "Set to 0",
  );
  const element = h(
    "div",
    { class: "clock", role: "group", "aria-label": "Clock and arc seconds" },
    startStop,
    h("div", { class: "clock-face" }, shown, day),
    clear,
  );

  function toggle(): void {
    if (since === undefined) since = performance.now();
    else stop();
    show();
  }
  function stop(): void {
    before = spent();
    since = undefined;
  }
  function show(): void {
    startStop.textContent = since === undefined ? "Arc on" : "Arc off";
    startStop.setAttribute("aria-pressed", String(since !== undefined));
    shown.textContent = `${fixed(spent(), 1)} s of arc`;
    day.textContent = new Date().toTimeString().slice(0, 5);
    clear.hidden = spent() === 0;
  }
  show();
  const timer = setInterval(() => {
    if (element.isConnected) show();
    else if (since === undefined) clearInterval(timer);
  }, 200);
  return {
    element,
    seconds: () => (spent() === 0 ? undefined : Number(fixed(spent(), 1))),
    stop,
  };
}
