// Procedures for the check for gaps: sound ones, and ones with a fault planted in each, made of four bases by
// the changes that corpus/*.yaml lists.

import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { parse } from 'yaml';
import { pumpSteps, type Written, type WrittenStep, writtenProduct } from './written-product.ts';

export interface Sound {
  readonly name: string;
  readonly product: Written;
}

export interface Planted extends Sound {
  /** Every code that must be told, and none else. */
  readonly told: readonly string[];
  /** The step or the like that the first of them is about. */
  readonly where: string;
  /** Steps before it shows; absent where no way shows it. */
  readonly steps: number | undefined;
}

interface Row {
  readonly base: string;
  readonly name: string;
  readonly changes?: readonly Written[];
  readonly told?: readonly string[];
  readonly where?: string;
  readonly steps?: number;
}

function read(name: string): unknown {
  return parse(readFileSync(fileURLToPath(new URL(`corpus/${name}.yaml`, import.meta.url)), 'utf8'));
}

const bases = read('bases') as Record<string, Written>;

export function baseOf(name: string): Written {
  if (name === 'pump') return writtenProduct({ procedure: pumpSteps() });
  const base = bases[name];
  if (base === undefined) throw new Error(`no base ${name}`);
  return writtenProduct({ id: `${name}-1`, ...structuredClone(base) });
}

/** One change: `edit` a step's keys (null takes one away), `drop` a step, `put` steps `after` one ('' the
 * beginning), `alsoWatch` more patterns at a watch, `showing` for a pattern, `position`, or `top` for other keys. */
function apply(product: Written, change: Written): void {
  const procedure = product.procedure as WrittenStep[];
  const find = (id: unknown): WrittenStep => {
    const step = procedure.find((one) => one.id === id);
    if (step === undefined) throw new Error(`${JSON.stringify(change)} names no step`);
    return step;
  };
  const { edit, drop, put, after, alsoWatch, showing, position, top, ...rest } = change;
  if (edit !== undefined) {
    const step = find(edit);
    for (const [key, value] of Object.entries(rest)) {
      if (value === null) delete step[key];
      else step[key] = value;
    }
  } else if (drop !== undefined) procedure.splice(procedure.indexOf(find(drop)), 1);
  else if (put !== undefined) {
    const at = after === '' ? 0 : procedure.indexOf(find(after)) + 1;
    procedure.splice(at, 0, ...(structuredClone(put) as WrittenStep[]));
  } else if (alsoWatch !== undefined) Object.assign(find(alsoWatch).watch as Written, rest);
  else if (showing !== undefined) {
    const pattern = (product.patterns as Written[]).find(({ id }) => id === showing);
    if (pattern === undefined) throw new Error(`${JSON.stringify(change)} names no pattern`);
    pattern.shows = rest;
  } else if (position !== undefined) Object.assign(product.positions as Written, position);
  else if (top !== undefined) Object.assign(product, structuredClone(top));
  else throw new Error(`${JSON.stringify(change)} is no change`);
}

function productOf(row: Row): Written {
  const product = baseOf(row.base);
  for (const change of row.changes ?? []) apply(product, change);
  return product;
}

export const soundCorpus: readonly Sound[] = (read('sound') as Row[]).map((row) => ({
  name: `${row.base}: ${row.name}`,
  product: productOf(row),
}));

export const plantedCorpus: readonly Planted[] = (read('plants') as Row[]).map((row) => ({
  name: `${row.base}: ${row.name}`,
  told: row.told ?? [],
  where: row.where ?? '',
  steps: row.steps,
  product: productOf(row),
}));
