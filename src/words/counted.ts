// A number with what it counts: `1 unit`, `2 units`.

/** `many` where adding an s does not do. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}
