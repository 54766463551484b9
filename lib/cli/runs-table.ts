import { ownValue } from "../errors/index.js";
import { fixed, percent } from "../numeric/index.js";
import { settingText } from "../study/definition/index.js";
import type { StudyDefinition } from "../study/index.js";
import { headed } from "../units/index.js";
import type { CouponExpense } from "../window/index.js";
import { textTable } from "./text.js";

/** Planned runs as a table in run order, by their ids where they have them, with their block where it is planned. */
export function runsTable(
  definition: StudyDefinition,
  runs: readonly {
    readonly id?: string;
    readonly settings: Readonly<Record<string, number | string>>;
    readonly role: string;
    readonly block?: number;
    readonly survival?: number;
    readonly expense?: CouponExpense;
  }[],
  blockName = "block",
): string {
  const foreseen = runs.some(({ survival }) => survival !== undefined);
  const costs = expenseColumns(definition).filter(([, kind]) =>
    runs.some(({ expense }) => (expense?.[kind] ?? 0) > 0),
  );
  const blocked = runs.some(({ block }) => block !== undefined);
  return textTable(
    [
      { title: runs.some(({ id }) => id !== undefined) ? "coupon" : "run", align: "right" },
      ...definition.factors.map(({ name, unit }) => ({
        title: headed(name, unit),
        align: "right" as const,
      })),
      ...(blocked ? [{ title: blockName, align: "right" as const }] : []),
      ...(foreseen ? [{ title: "gives dimensions", align: "right" as const }] : []),
      ...costs.map(([title]) => ({ title, align: "right" as const })),
      { title: "role" },
    ],
    runs.map(({ id, settings, role, block, survival, expense }, i) => [
      id ?? String(i + 1),
      ...definition.factors.map(({ name }) => settingText(ownValue(settings, name))),
      ...(blocked ? [String(block ?? "")] : []),
      ...(foreseen ? [survival === undefined ? "" : percent(survival)] : []),
      ...costs.map(([, kind, digits]) => (expense === undefined ? "" : fixed(expense[kind] ?? 0, digits))),
      role,
    ]),
  );
}

/** Heading, kind and decimals of what coupons take. */
const expenseColumns = ({
  costs,
}: StudyDefinition): readonly (readonly [string, keyof CouponExpense, number])[] => [
  [costs?.currency ?? "money", "money", 2],
  ["min", "minutes", 0],
  ["gas [L]", "gas", 0],
  ["wire [m]", "wire", 2],
];
