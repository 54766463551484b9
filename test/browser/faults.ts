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

  // Corners of a text as it stands, turned or not: a little wider than its letters, and as high as these, less
  // what a line leaves above and below them.
  const lettersOf = (text) => {
    const { x, y, width, height } = text.getBBox();
    const on = text.getScreenCTM();
    const size = parseFloat(getComputedStyle(text).fontSize);
    const corner = (x, y) => new DOMPoint(x, y).matrixTransform(on);
    const [left, right, top, bottom] = [x - 1, x + width + 1, y + 0.25 * size, y + height - 0.25 * size];
    return [corner(left, top), corner(right, top), corner(right, bottom), corner(left, bottom)];
  };
  // Two rectangles cross unless a side of one of them parts them.
  const crosses = (a, b) => ![a, b].some((box) => [0, 1].some((side) => {
    const [from, to] = [box[side], box[side + 1]];
    const spread = (points) => points.map(({ x, y }) => x * (to.x - from.x) + y * (to.y - from.y));
    const [one, other] = [spread(a), spread(b)];
    return Math.max(...one) <= Math.min(...other) || Math.max(...other) <= Math.min(...one);
  }));

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
    const texts = [...svg.querySelectorAll("text")].filter(
      (text) => text.getBoundingClientRect().width > 0 && getComputedStyle(text).opacity !== "0" && text.textContent.trim() !== "",
    );
    // What scrolls cuts off as well: a drawing is seen whole or not at all.
    const frames = [box];
    for (let at = svg.parentElement; at !== null; at = at.parentElement) {
      if (getComputedStyle(at).overflowX !== "visible") frames.push(at.getBoundingClientRect());
    }
    for (const text of texts) {
      const part = text.getBoundingClientRect();
      const beyond = Math.max(...frames.map((frame) => Math.max(frame.left - part.left, part.right - frame.right)), box.top - part.top, part.bottom - box.bottom);
      if (beyond > 1) faults.push(name(text) + " is cut off by " + beyond.toFixed(1) + " px in " + name(svg));
    }
    // Every two of its texts, of which none may be written over another.
    const letters = texts.map(lettersOf);
    texts.forEach((text, i) => {
      for (let j = 0; j < i; j++) {
        if (crosses(letters[i], letters[j])) faults.push(name(text) + " is written over " + name(texts[j]) + " in " + name(svg));
      }
    });
  }

  // A chart fills its place; one with no other beside it has the width of them all.
  for (const figure of document.querySelectorAll("figure")) {
    const svgs = [...figure.querySelectorAll("svg")].filter((svg) => svg.checkVisibility());
    if (svgs.length === 0 || !figure.checkVisibility()) continue;
    const boxes = svgs.map((svg) => svg.getBoundingClientRect());
    const { parentElement: row } = figure;
    const room = row.children.length === 1 ? row.clientWidth : figure.clientWidth;
    const share = (Math.max(...boxes.map(({ right }) => right)) - Math.min(...boxes.map(({ left }) => left))) / room;
    if (share < 0.6) faults.push(name(svgs[0]) + " fills " + Math.round(100 * share) + " % of a room of " + room + " px");
  }

  for (const box of document.querySelectorAll(".scroll")) {
    // A table stacked in cards has no reason to scroll.
    const stacked = box.querySelector("table.stacked");
    const cards = stacked !== null && getComputedStyle(stacked).display === "block";
    if (getComputedStyle(box).overflowX !== "visible" && !cards) continue;
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
