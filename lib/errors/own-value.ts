/**
 * A value looked up by a name somebody chose, such as a response's: only what was put into the record counts, so that
 * a response may be called `constructor`, which every object answers to.
 */
export function ownValue<T>(record: Readonly<Record<string, T>> | undefined, name: string): T | undefined {
  return record !== undefined && Object.hasOwn(record, name) ? record[name] : undefined;
}
