// What is absent is an absent name: takes out those whose value is undefined.

export function withoutAbsent<T extends object>(values: T): { [K in keyof T]?: Exclude<T[K], undefined> } {
  const present = Object.entries(values).filter(([, value]) => value !== undefined);
  return Object.fromEntries(present) as { [K in keyof T]?: Exclude<T[K], undefined> };
}
