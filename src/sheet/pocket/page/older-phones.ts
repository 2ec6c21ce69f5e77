// What phones of some years ago lack, and our own code uses. Each stands in only where the phone has none of its own.

type Method = (this: never, ...given: never[]) => unknown;

function lend(to: object, name: string, method: Method): void {
  if (name in to) return;
  Object.defineProperty(to, name, { value: method, configurable: true, writable: true });
}

export function helpOlderPhones(): void {
  lend(Object, 'hasOwn', ((of: object, name: PropertyKey) => Object.hasOwn(of, name)) as Method);
  lend(Array.prototype, 'at', function (this: unknown[], index: number) {
    return this[index < 0 ? this.length + index : index];
  } as Method);
  lend(Array.prototype, 'findLastIndex', function (
    this: unknown[],
    fits: (one: unknown, index: number, all: unknown[]) => boolean,
  ) {
    for (let i = this.length - 1; i >= 0; i--) if (fits(this[i], i, this)) return i;
    return -1;
  } as Method);
  lend(Array.prototype, 'findLast', function (
    this: unknown[],
    fits: (one: unknown, index: number, all: unknown[]) => boolean,
  ) {
    return this[this.findLastIndex(fits)];
  } as Method);
  lend(String.prototype, 'replaceAll', function (this: string, what: string, by: string) {
    return this.split(what).join(by);
  } as Method);
}
