/** What may stand inside an element. */
export type Child = Node | string | false | undefined;

type Listeners = { readonly [K in keyof HTMLElementEventMap]?: (event: HTMLElementEventMap[K]) => void };

/** Attributes of an element: texts, numbers, or whether they are there. */
interface Props {
  readonly [attribute: string]: unknown;
  readonly on?: Listeners;
}

/** Attributes of a button, and what a tap on it does. */
interface Tapped {
  readonly [attribute: string]: unknown;
  readonly tap: () => void;
}

/** An element with attributes, listeners and contents; an attribute that is false or undefined is left out. */
export function h<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  props: Props = {},
  ...children: readonly Child[]
): HTMLElementTagNameMap[K] {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(props)) {
    if (value === false || value === undefined) continue;
    if (name === "on") listen(element, value as Listeners);
    else element.setAttribute(name, value === true ? "" : String(value));
  }
  element.append(...shown(children));
  return element;
}

function listen(element: HTMLElement, listeners: Listeners): void {
  for (const [event, listener] of Object.entries(listeners))
    element.addEventListener(event, listener as EventListener);
}

/** Puts other contents into an element. */
export function fill(element: Element, ...children: readonly Child[]): void {
  element.replaceChildren(...shown(children));
}

const shown = (children: readonly Child[]): (Node | string)[] =>
  children.filter((child): child is Node | string => child !== false && child !== undefined);

/** A button that keeps the focus where it is, so that a field stays open while keys are tapped. */
export function key(props: Tapped, ...children: readonly Child[]): HTMLButtonElement {
  const made = button(props, ...children);
  made.addEventListener("pointerdown", (event) => event.preventDefault());
  return made;
}

/** A button. */
export function button(props: Tapped, ...children: readonly Child[]): HTMLButtonElement {
  const { tap, ...attributes } = props;
  const made = h("button", { type: "button", ...attributes }, ...children);
  made.addEventListener("click", tap);
  return made;
}

let last = 0;

/** A name for an element that another one points at. */
export const freshId = (stem: string): string => `${stem}-${++last}`;
