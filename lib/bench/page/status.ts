import { h } from "./dom.js";
import { type BenchState, ready } from "./state.js";

/** Where entries are just now, in words. */
export function statusView({ connection, waiting, day }: BenchState): HTMLElement {
  const count = ready().length;
  const others = waiting.filter(
    ({ request, refused }) => refused === undefined && request.home !== day?.home,
  ).length;
  const entries = (n: number): string => (n === 1 ? "1 entry" : `${n} entries`);
  const text =
    connection === "code"
      ? `The computer wants its code again${count === 0 ? "" : `; ${entries(count)} kept here meanwhile`}.`
      : count > 0
        ? `No connection: ${entries(count)} kept on this device, sent when it is back.`
        : connection === "gone"
          ? "No connection. What you log is kept on this device until it is back."
          : "Connected: everything is in the journal.";
  return h(
    "div",
    {},
    h("p", { class: `status ${count > 0 || connection !== "there" ? "off" : "on"}`, role: "status" }, text),
    connection === "code" && h("p", {}, h("a", { href: "/door" }, "Enter the code")),
    others > 0 &&
      h(
        "p",
        { class: "remark" },
        `${entries(others)} kept here for another study: serve that study at this address to send them.`,
      ),
    !window.isSecureContext &&
      h(
        "p",
        { class: "remark" },
        "At this address the page cannot be loaded again without a connection: leave it open until everything is sent.",
      ),
  );
}
