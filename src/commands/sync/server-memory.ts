// Where the chains ended on each server when this laptop was last in step with it: so that a server which has lost
// entries since (restored from an older back-up) is told. A file of the workspace; where it is gone or cannot be read,
// nothing is remembered, and nothing else is lost.

import type { Files } from '../../ports/files.ts';
import type { Mark } from '../../ports/record-store.ts';
import type { Workspace } from '../../ports/workspace.ts';

const maxBytes = 20_000_000;
const format = 1;

interface Kept {
  readonly format: number;
  /** By the server's own id. */
  readonly servers: Readonly<Record<string, { readonly where: string; readonly marks: readonly Mark[] }>>;
}

type Place = { readonly files: Files; readonly workspace: Workspace };

export function rememberedMarks(place: Place, server: string): readonly Mark[] {
  const known = read(place).servers;
  return Object.hasOwn(known, server) ? (known[server]?.marks ?? []) : [];
}

/** Never less than before: what a server has lost stays known until it is there again. */
export function rememberMarks(place: Place, server: string, where: string, marks: readonly Mark[]): void {
  const furthest = new Map(rememberedMarks(place, server).map((mark) => [mark.laptop, mark]));
  for (const { laptop, seq, hash } of marks) {
    const before = furthest.get(laptop);
    if (before === undefined || before.seq <= seq) furthest.set(laptop, { laptop, seq, hash });
  }
  const { servers } = read(place);
  const all = [...furthest.values()].sort((a, b) => (a.laptop < b.laptop ? -1 : 1));
  const content: Kept = { format, servers: { ...servers, [server]: { where, marks: all } } };
  place.files.write(place.workspace.servers, `${JSON.stringify(content)}\n`);
}

function read({ files, workspace }: Place): Kept {
  const nothing: Kept = { format, servers: {} };
  if (files.facts(workspace.servers)?.kind !== 'file') return nothing;
  try {
    const value: unknown = JSON.parse(files.readText(workspace.servers, maxBytes));
    return isKept(value) ? value : nothing;
  } catch {
    return nothing;
  }
}

function isKept(value: unknown): value is Kept {
  if (!isObject(value) || value.format !== format || !isObject(value.servers)) return false;
  return Object.values(value.servers).every(
    (one) => isObject(one) && Array.isArray(one.marks) && one.marks.every(isMark),
  );
}

function isMark(value: unknown): value is Mark {
  return (
    isObject(value) &&
    typeof value.laptop === 'string' &&
    Number.isSafeInteger(value.seq) &&
    typeof value.hash === 'string'
  );
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
