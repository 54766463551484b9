/**
 * Runs inside the page: lists what is wrong with its layout. Written as text because it must not refer to
 * anything outside itself.
 */
export const findFaults = `(() => {
  const faults = [];
  const name = (element) => {
    const label = element.getAttribute("aria-label") ?? element.textContent ?? "";
    return element.tagName.toLowerCase() + " \\"" + label.trim().slice(0, 60) + "\\"";
  };

  const page = document.documentElement;
  if (page.scrollWidth > innerWidth) {
    faults.push("page is " + page.scrollWidth + " px wide in a window of " + innerWidth + " px");
  }

  for (const figure of document.querySelectorAll("figure")) {
    if (!figure.checkVisibility()) continue;
    if (![...figure.querySelectorAll("svg")].some((svg) => svg.checkVisibility())) faults.push(name(figure) + " shows no drawing");
  }
  for (const svg of document.querySelectorAll("svg")) {
    // Set aside on purpose: drawn for another width, or standing still where another moves.
    if (!svg.parentElement.checkVisibility()) continue;
    const box = svg.getBoundingClientRect();
    const style = getComputedStyle(svg);
    if (box.width < 1 || box.height < 1 || style.visibility !== "visible" || Number(style.opacity) === 0) {
      faults.push(name(svg) + " is not visible (" + box.width + " x " + box.height + ")");
    }
    for (const text of svg.querySelectorAll("text")) {
      const part = text.getBoundingClientRect();
      if (part.width === 0 || getComputedStyle(text).opacity === "0") continue;
      const beyond = Math.max(box.left - part.left, part.right - box.right, box.top - part.top, part.bottom - box.bottom);
      if (beyond > 1) faults.push(name(text) + " is cut off by " + beyond.toFixed(1) + " px in " + name(svg));
    }
  }

  for (const box of document.querySelectorAll(".scroll")) {
    if (getComputedStyle(box).overflowX !== "visible") continue;
    const beyond = box.scrollWidth - box.clientWidth;
    if (beyond > 1) faults.push(name(box) + " stands " + beyond + " px out of its column");
  }

  const parse = (colour) => (colour.match(/[\\d.]+/g) ?? []).map(Number);
  const light = ([r, g, b]) => {
    const [x, y, z] = [r, g, b].map((c) => c / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
    return 0.2126 * x + 0.7152 * y + 0.0722 * z;
  };
  const background = (element) => {
    for (let at = element; at !== null; at = at.parentElement) {
      const colour = parse(getComputedStyle(at).backgroundColor);
      if (colour.length === 3 || colour[3] === 1) return colour;
    }
    return [255, 255, 255];
  };
  for (const element of document.querySelectorAll("body *:not(svg, svg *)")) {
    const own = [...element.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim() !== "");
    if (!own) continue;
    const [low, high] = [parse(getComputedStyle(element).color), background(element)].map(light).sort((a, b) => a - b);
    const contrast = (high + 0.05) / (low + 0.05);
    if (contrast < 4.5) faults.push(name(element) + " has contrast " + contrast.toFixed(2) + ", needs 4.5");
  }
  return faults;
})()`;
