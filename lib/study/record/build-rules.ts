import { ownValue } from "../../errors/index.js";
import { convert, sameDimension } from "../../units/index.js";
import { exposureKinds, exposureUnits, isExposureKind } from "../definition/index.js";
import type { BuildBody, Entry, EntryBody, Exposure, IncidentBody } from "../journal/index.js";
import { suggestion } from "../shape/index.js";
import type { AddIssue } from "./check-columns.js";

/** A build as far as it was logged. */
interface Standing {
  ended: boolean;
  layer: number;
  exposure: Exposure;
  /** Entries that told layer and running, and the last one; none where it is not written yet. */
  layerEntry?: number | undefined;
  exposureEntry?: number | undefined;
  lastEntry?: number | undefined;
}

/** Builds by name, to check what is logged of them next. */
export type KnownBuilds = Map<string, Standing>;

/** The builds of a journal; voided entries do not count. */
export function knownBuilds(entries: readonly Entry[]): KnownBuilds {
  const voided = new Set(entries.flatMap((entry) => (entry.kind === "voided" ? [entry.entry] : [])));
  const builds: KnownBuilds = new Map();
  for (const entry of entries)
    if (entry.kind === "build" && !voided.has(entry.seq)) rememberStep(builds, entry, entry.seq);
  return builds;
}

/** Adds a step that was found sound. */
export function rememberStep(builds: KnownBuilds, step: BuildBody, seq?: number): void {
  const before = builds.get(step.build);
  builds.set(step.build, {
    ended: step.event === "ended",
    layer: step.layer ?? before?.layer ?? 0,
    exposure: { ...before?.exposure, ...step.exposure },
    layerEntry: step.layer === undefined ? before?.layerEntry : seq,
    exposureEntry: step.exposure === undefined ? before?.exposureEntry : seq,
    lastEntry: seq,
  });
}

/** Checks what an entry says of a build and of running. */
export function checkBuilds(builds: KnownBuilds, body: EntryBody, add: AddIssue): void {
  if ("exposure" in body && body.exposure !== undefined) checkExposure(body.exposure, add);
  if (body.kind === "change" && body.life !== undefined) checkLife(body.life, add);
  if (body.kind === "incident" && body.lostTime !== undefined) checkLostTime(body.lostTime, add);
  if (body.kind === "build") checkStep(builds, body, add);
  else if ("build" in body && body.build !== undefined && !builds.has(body.build)) {
    add("build", `there is no build ${body.build}${suggestion(body.build, [...builds.keys()])}`);
  }
}

function checkExposure(exposure: Exposure, add: AddIssue): void {
  for (const [name, { value, unit }] of Object.entries(exposure)) {
    if (!isExposureKind(name)) {
      add(
        "exposure",
        `running is counted as ${exposureKinds.join(", ")}, got ${name}${suggestion(name, exposureKinds)}`,
      );
    } else if (!sameDimension(unit, exposureUnits[name])) {
      add("exposure", `${name} needs a unit like ${exposureUnits[name]}, got ${unit}`);
    } else if (!(value >= 0)) add("exposure", `${name} cannot be below 0, got ${value}`);
  }
}

function checkLife(life: { readonly value: number; readonly unit: string }, add: AddIssue): void {
  const like = ["h", "m", "L", "1"];
  if (!like.some((unit) => sameDimension(unit, life.unit))) {
    add(
      "life",
      `a life is a time of arc, a length of wire, a volume of gas or a number of starts, got ${life.unit}`,
    );
  } else if (!(life.value > 0)) add("life", `a life must be above 0, got ${life.value}`);
}

function checkLostTime(lost: NonNullable<IncidentBody["lostTime"]>, add: AddIssue): void {
  if (!sameDimension(lost.unit, "min")) add("lostTime", `time lost needs a unit like min, got ${lost.unit}`);
  else if (!(lost.value >= 0)) add("lostTime", `time lost cannot be below 0, got ${lost.value} ${lost.unit}`);
}

/** How to take an entry back. */
function voidIt(entry: number | undefined): string {
  return entry === undefined
    ? "void the wrong entry"
    : `void entry ${entry} if it is wrong: \`beadbench log <study> --void --entry ${entry} --why "..."\``;
}

function checkStep(builds: KnownBuilds, step: BuildBody, add: AddIssue): void {
  const before = builds.get(step.build);
  if (step.event === "started" && before !== undefined) {
    add("build", `build ${step.build} was started before; choose another name for another attempt`);
    return;
  }
  if (step.event !== "started" && before === undefined) {
    add(
      "build",
      `there is no build ${step.build}${suggestion(step.build, [...builds.keys()])}; start it first`,
    );
    return;
  }
  for (const [name, value] of Object.entries(step.values ?? {})) {
    // Temperatures go below 0; nothing else that is read of a build does.
    const unit = ownValue(step.units, name) ?? "1";
    if (value < 0 && !sameDimension(unit, "degC"))
      add(name, `${name} cannot be below 0, got ${value} ${unit}; check the sign`);
  }
  if (before?.ended === true) add("build", `build ${step.build} has ended; ${voidIt(before.lastEntry)}`);
  if ((step.outcome !== undefined) !== (step.event === "ended"))
    add("outcome", "say how a build ended, finished, scrapped or given_up, and only then");
  if (before === undefined) return;
  if (step.layer !== undefined && step.layer < before.layer) {
    // Running by the layers is then too low as well, and needs no saying.
    add(
      "layer",
      `layer ${before.layer} was logged before, now it says ${step.layer}; ${voidIt(before.layerEntry)}`,
    );
    return;
  }
  for (const [name, quantity] of Object.entries(step.exposure ?? {})) {
    const earlier = ownValue(before.exposure, name);
    if (earlier === undefined || !sameDimension(earlier.unit, quantity.unit)) continue;
    if (convert(quantity.value, quantity.unit, earlier.unit) < earlier.value)
      add(
        "exposure",
        `${name} counts the whole build so far: it was ${earlier.value} ${earlier.unit} before, now it says ${quantity.value} ${quantity.unit}; ${voidIt(before.exposureEntry)}`,
      );
  }
}
