import { writeFileSync } from "node:fs";
import { Browser } from "./devtools.js";
import { findFaults } from "./faults.js";

/** A page in a browser, used as a person does: taps, keys, and looks. */
export class Page {
  /** Taps since it was last set to 0. */
  taps = 0;

  private constructor(readonly browser: Browser) {}

  static async start(program: string): Promise<Page> {
    const page = new Page(await Browser.start(program));
    for (const domain of ["Page", "Runtime", "Log", "Network", "DOM"])
      await page.browser.send(`${domain}.enable`);
    return page;
  }

  async show({ width, scheme }: { readonly width: number; readonly scheme: string }): Promise<void> {
    await this.browser.send("Emulation.setDeviceMetricsOverride", {
      width,
      height: 844,
      deviceScaleFactor: 1,
      mobile: false,
    });
    await this.browser.send("Emulation.setEmulatedMedia", {
      features: [{ name: "prefers-color-scheme", value: scheme }],
    });
  }

  async open(url: string): Promise<void> {
    await this.browser.during("Page.loadEventFired", () => this.browser.send("Page.navigate", { url }));
  }

  async reload(): Promise<void> {
    await this.browser.during("Page.loadEventFired", () => this.browser.send("Page.reload"));
  }

  /** The value of an expression in the page. */
  async run<T>(expression: string): Promise<T> {
    const { result, exceptionDetails } = (await this.browser.send("Runtime.evaluate", {
      expression,
      awaitPromise: true,
      returnByValue: true,
    })) as { readonly result: { readonly value: T }; readonly exceptionDetails?: object };
    if (exceptionDetails !== undefined) throw new Error(`${expression}: ${JSON.stringify(exceptionDetails)}`);
    return result.value;
  }

  /** Waits until an expression is true. */
  async until(expression: string, what = expression): Promise<void> {
    for (const end = performance.now() + 20_000; performance.now() < end; ) {
      if (await this.run<boolean>(`Boolean(${expression})`)) return;
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
    throw new Error(`did not come about within 20 s: ${what}\n${await this.run("document.body.innerText")}`);
  }

  text(selector: string): Promise<string> {
    return this.run(`document.querySelector(${JSON.stringify(selector)})?.innerText ?? ""`);
  }

  /** Taps the middle of an element; of several the one with this text. */
  async tap(selector: string, text?: string): Promise<void> {
    const found = `[...document.querySelectorAll(${JSON.stringify(selector)})].find((e) => e.offsetParent !== null${text === undefined ? "" : ` && e.innerText.trim().startsWith(${JSON.stringify(text)})`})`;
    await this.until(found, `${selector} ${text ?? ""} is there`);
    const at = await this.run<{ readonly x: number; readonly y: number }>(
      `(() => { const e = ${found}; const shown = () => e.getBoundingClientRect(); const r = shown(); if (r.top < 0 || r.bottom > innerHeight - 110) e.scrollIntoView({ block: "center" }); const box = shown(); return { x: box.left + box.width / 2, y: box.top + box.height / 2 }; })()`,
    );
    await this.press(at);
    await this.release(at);
    this.taps++;
  }

  async press(at: { readonly x: number; readonly y: number }): Promise<void> {
    await this.mouse("mousePressed", at);
  }

  async release(at: { readonly x: number; readonly y: number }): Promise<void> {
    await this.mouse("mouseReleased", at);
  }

  async mouse(type: string, { x, y }: { readonly x: number; readonly y: number }): Promise<void> {
    await this.browser.send("Input.dispatchMouseEvent", {
      type,
      x,
      y,
      button: "left",
      buttons: 1,
      clickCount: 1,
    });
  }

  /** Presses keys of the keyboard, one after the other. */
  async keys(...names: readonly string[]): Promise<void> {
    const text: Readonly<Record<string, string>> = { Enter: "\r", Space: " " };
    for (const name of names) {
      const key = name === "Space" ? " " : name;
      const typed = text[name] ?? (name.length === 1 ? name : undefined);
      const codes: Readonly<Record<string, number>> = {
        Tab: 9,
        Enter: 13,
        Space: 32,
        Backspace: 8,
        ArrowRight: 39,
      };
      const common = {
        key,
        code: name,
        windowsVirtualKeyCode: codes[name] ?? name.toUpperCase().charCodeAt(0),
      };
      await this.browser.send("Input.dispatchKeyEvent", {
        type: typed === undefined ? "rawKeyDown" : "keyDown",
        ...common,
        ...(typed === undefined ? {} : { text: typed }),
      });
      await this.browser.send("Input.dispatchKeyEvent", { type: "keyUp", ...common });
    }
  }

  /** Puts a file into a field for files. */
  async choose(selector: string, file: string): Promise<void> {
    const { root } = (await this.browser.send("DOM.getDocument")) as {
      readonly root: { readonly nodeId: number };
    };
    const { nodeId } = await this.browser.send("DOM.querySelector", { nodeId: root.nodeId, selector });
    await this.browser.send("DOM.setFileInputFiles", { nodeId, files: [file] });
  }

  async offline(offline: boolean): Promise<void> {
    await this.browser.send("Network.emulateNetworkConditions", {
      offline,
      latency: 0,
      downloadThroughput: -1,
      uploadThroughput: -1,
    });
  }

  /** What is wrong with the layout, and what the accessibility checker calls serious or worse. */
  async faults(checker: string): Promise<readonly string[]> {
    const layout = await this.run<readonly string[]>(findFaults);
    await this.run(`window.axe === undefined && (() => { ${checker} })()`);
    const rules = await this.run<readonly string[]>(
      `axe.run(document, { resultTypes: ["violations"] }).then(({ violations }) => violations.filter(({ impact }) => impact === "serious" || impact === "critical").map(({ id, nodes }) => id + ": " + nodes.slice(0, 3).map(({ html }) => html.slice(0, 160)).join(" | ")))`,
    );
    return [...layout, ...rules];
  }

  async picture(path: string, whole = true): Promise<void> {
    const { data } = await this.browser.send("Page.captureScreenshot", { captureBeyondViewport: whole });
    writeFileSync(path, Buffer.from(data as string, "base64"));
  }

  close(): Promise<void> {
    return this.browser.close();
  }
}
