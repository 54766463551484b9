/** Names of coupons in a sentence, the first few where they are many. */
export function listed(names: readonly string[]): string {
  return names.length <= 6
    ? names.join(", ")
    : `${names.slice(0, 5).join(", ")} and ${names.length - 5} more`;
}
