// The check for gaps where several units of a site are done one after another: the procedure is explored once more as it
// is at the first of several, at those between and at the last, and whatever an earlier unit was left like must not
// be broken by what is done for the site after it. However many units there are, these are all the places there can be.

import type { Product } from '../manifest/schema.ts';
import { sitePositions } from '../manifest/shared-steps.ts';
import type { GapFinding } from './gap-finding.ts';
import { endsTheSite, hasSharedSteps, productAtTurn, type SiteTurn } from './site-turn.ts';
import { exploreStates, type StateSpace } from './state-space.ts';
import { type Holding, type StepGraph, stepGraphOf } from './step-graph.ts';
import { successorsOf, type WalkState } from './successors.ts';
import { holdingsText, holdingText, wayText } from './way-text.ts';

const turns: readonly { readonly turn: SiteTurn; readonly name: string }[] = [
  { turn: { first: true, last: false }, name: 'at the first of several units' },
  { turn: { first: false, last: false }, name: 'at a unit between others' },
  { turn: { first: false, last: true }, name: 'at the last of several units' },
];

export interface SiteCheck {
  readonly findings: readonly GapFinding[];
  readonly states: number;
  readonly complete: boolean;
}

/** `judge`: the check of one procedure by itself, as `checkGaps` does it. */
export function checkSite(
  product: Product,
  limit: number,
  judge: (product: Product) => SiteCheck,
): SiteCheck {
  if (!hasSharedSteps(product)) return { findings: [], states: 0, complete: true };
  const findings: GapFinding[] = [];
  let states = 0;
  let complete = true;
  for (const { turn, name } of turns) {
    const there = productAtTurn(product, turn);
    const check = judge(there);
    states += check.states;
    complete &&= check.complete;
    findings.push(...check.findings.map((finding) => placed(finding, there, product, name)));
  }
  if (complete) findings.push(...brokenForEarlier(product, limit));
  return { findings, states, complete };
}

/** Steps are counted as the manifest has them, not as they are where some are left out. */
function placed(finding: GapFinding, there: Product, product: Product, name: string): GapFinding {
  const keys = finding.keys.map((key, place) => {
    if (place !== 1 || finding.keys[0] !== 'procedure' || typeof key !== 'number') return key;
    const id = there.procedure[key]?.id;
    return product.procedure.findIndex((step) => step.id === id);
  });
  return { ...finding, keys, seen: `${name}: ${finding.seen ?? ''}` };
}

/** How one end leaves a unit, with a shortest way to it. */
interface LeftUnit {
  readonly positions: readonly number[];
  readonly busy: boolean;
  readonly end: string;
  readonly way: string;
}

/** Those after which another unit can be begun. */
function leftUnits(product: Product, space: StateSpace): LeftUnit[] {
  const { successors, words, count } = space;
  const { graph, stride } = successors;
  const final = new Set(product.procedure.filter((step) => endsTheSite(product, step)).map(({ id }) => id));
  const seen = new Map<string, LeftUnit>();
  for (let id = 0; id < count; id += 1) {
    const step = graph.steps[successors.stepAt(words, id * stride)];
    if (step?.end === undefined || final.has(step.id)) continue;
    const { positions, busy } = successors.unpack(words, id * stride);
    const key = `${positions.join()} ${busy}`;
    if (seen.has(key)) continue;
    seen.set(key, { positions, busy, end: step.id, way: wayText(graph, space.pathTo(id)) });
  }
  return [...seen.values()];
}

/**
 * What is done for the site after its last unit is done to the earlier ones too, as their ends have left them: no `never`
 * may come true of one of them, and one that may still be writing keeps what it needs.
 */
function brokenForEarlier(product: Product, limit: number): GapFinding[] {
  const explored = (turn: SiteTurn) =>
    exploreStates(successorsOf(stepGraphOf(productAtTurn(product, turn))), limit);
  const earlier = leftUnits(product, explored({ first: true, last: false }));
  const last = explored({ first: false, last: true });
  const { graph, stride } = last.successors;
  const siteAxes = [...sitePositions(product)].map((name) =>
    graph.axes.findIndex((axis) => axis.name === name),
  );
  const isSite = (holding: Holding) => siteAxes.includes(holding.axis);
  const told = new Set<string>();
  const findings: GapFinding[] = [];
  const seenSites = new Set<string>();
  for (let id = 0; id < last.count; id += 1) {
    const state = last.successors.unpack(last.words, id * stride);
    const site = siteAxes.map((axis) => state.positions[axis]).join();
    if (seenSites.has(site)) continue;
    seenSites.add(site);
    for (const unit of earlier) {
      for (const broken of brokenBy(graph, state, unit, isSite)) {
        if (told.has(broken.what)) continue;
        told.add(broken.what);
        findings.push(earlierFinding(product, last, id, unit, broken));
      }
    }
  }
  return findings;
}

interface Broken {
  readonly code: 'never-true' | 'busy-broken';
  readonly what: string;
  readonly why: string;
  readonly neverRule?: number;
}

function brokenBy(
  graph: StepGraph,
  state: WalkState,
  unit: LeftUnit,
  isSite: (holding: Holding) => boolean,
): Broken[] {
  const stands = (holding: Holding) =>
    (isSite(holding) ? state.positions : unit.positions)[holding.axis] === holding.state;
  const never = graph.never.flatMap(({ when, why }, neverRule): Broken[] =>
    when.some(isSite) && when.some((holding) => !isSite(holding)) && when.every(stands)
      ? [{ code: 'never-true', what: holdingsText(graph, when), why, neverRule }]
      : [],
  );
  if (!unit.busy) return never;
  const busy = graph.whileBusy.filter((holding) => isSite(holding) && !stands(holding));
  return [
    ...never,
    ...busy.map(
      (holding): Broken => ({
        code: 'busy-broken',
        what: `it may still be writing, and not ${holdingText(graph, holding, ' is')}`,
        why: 'The unit may still be writing',
      }),
    ),
  ];
}

function earlierFinding(
  product: Product,
  space: StateSpace,
  id: number,
  unit: LeftUnit,
  broken: Broken,
): GapFinding {
  const { graph } = space.successors;
  const way = space.pathTo(id);
  const before = way[way.length - 1];
  const step = before === undefined ? undefined : graph.steps[before.step];
  const index = product.procedure.findIndex((one) => one.id === step?.id);
  return {
    code: broken.code,
    severity: 'stop',
    summary: `What is done once for the site can come true of a unit done earlier there: ${broken.what}`,
    seen: `an earlier unit: ${unit.way} the end \`${unit.end}\`. Then at the last unit: ${wayText(graph, way)} of the earlier one ${broken.what}`,
    expected: `never of any unit that ${broken.what}: ${broken.why}`,
    where: step?.id ?? 'the beginning',
    next: 'Leave that step undone on such ways, or do it at every unit.',
    ...(step !== undefined && { step: step.id }),
    ...(broken.neverRule !== undefined && { neverRule: broken.neverRule }),
    keys: index < 0 ? ['procedure'] : ['procedure', index, 'sets'],
    way: way.map((move) => graph.steps[move.step]!.id),
  };
}
