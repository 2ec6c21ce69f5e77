// The frame before the procedure: cautions, the card in hand, the unit by its plate, the version before, the
// settings to note, and everything standing as the procedure begins. Up to here nothing has been touched, so a
// walk that must not go on simply ends as deferred, with the reason.

import { isVersion, sameVersion } from '../../manifest/versions.ts';
import { keptText, longestSetting } from './kept-text.ts';
import { arrive, resultOf } from './move-walk.ts';
import { afterCautions, afterPlate } from './reduce-resume.ts';
import { complain, toPhase, type Walk, type WalkPlan, withDone } from './walk.ts';
import type { EventOf, WalkEvent } from './walk-event.ts';

type Before = Extract<
  Walk['phase'],
  { kind: 'cautions' | 'card' | 'plate' | 'version-before' | 'lead' | 'settings' | 'starts' }
>;

/** undefined: this event is no answer here. */
export function reduceBefore(plan: WalkPlan, walk: Walk, phase: Before, event: WalkEvent): Walk | undefined {
  if (phase.kind === 'cautions' && event.kind === 'caution-read') {
    const index = phase.index + 1;
    if (index < plan.cautions) return toPhase(walk, { kind: 'cautions', index });
    const read = withDone(plan, walk, partOf(walk), 'cautions', 'read', { count: plan.cautions });
    return afterCautions(read);
  }
  if (phase.kind === 'card' && event.kind === 'card') return takeCard(plan, walk, event);
  if (phase.kind === 'plate' && event.kind === 'plate') return takePlate(plan, walk, phase.first, event);
  if (phase.kind === 'version-before') {
    if (event.kind === 'version-before') return takeVersion(plan, walk, phase.first, event);
    if (event.kind === 'version-before-unreadable') {
      const noted = withDone(plan, walk, 'before', 'version-before', 'unreadable');
      return toPhase(noted, { kind: 'lead' });
    }
  }
  if (phase.kind === 'lead' && event.kind === 'lead-says') {
    const name = keptText(event.name);
    if (name === undefined) return complain(walk, 'text-form');
    const result = event.goOn ? 'go-on' : 'not';
    const noted = withDone(plan, walk, 'before', 'lead', result, { name });
    return event.goOn ? afterVersion(plan, noted) : deferred(noted, 'other');
  }
  if (phase.kind === 'settings' && event.kind === 'settings') {
    const values = event.values.map((value) => keptText(value, longestSetting) ?? '');
    if (values.length !== plan.release.resets.length || values.includes(''))
      return complain(walk, 'text-form');
    const facts = { values };
    const noted = withDone(plan, walk, 'before', 'settings', 'noted', facts);
    return toPhase({ ...noted, notes: { ...noted.notes, settings: values } }, { kind: 'starts' });
  }
  if (phase.kind === 'starts' && event.kind === 'starts') {
    if (event.asSaid) {
      const begun: Walk = { ...walk, begun: true, arrivedMs: walk.atMs };
      return arrive(plan, withDone(plan, begun, 'before', 'starts', 'as-said'));
    }
    const noted = withDone(plan, walk, 'before', 'starts', 'otherwise');
    return toPhase(noted, { kind: 'stopped', why: 'starts-otherwise', from: phase, seen: null });
  }
  return undefined;
}

function partOf(walk: Walk): 'before' | 'resume' {
  return walk.resuming ? 'resume' : 'before';
}

/** Ready when looked at just now; where it cannot be read here, the record must know it as ready and unused. */
function takeCard(plan: WalkPlan, walk: Walk, { standing }: EventOf<'card'>): Walk {
  const { name, now, record, why } = standing;
  if (name === '') return complain(walk, 'text-form');
  if (now === 'not-ready' || (now === 'not-read' && record !== 'ready')) {
    return complain(walk, 'card-not-ready', { heard: true, ...(why !== null && { seen: why }) });
  }
  const result = now === 'ready' ? 'ready-now' : 'ready-on-record';
  const noted = withDone(plan, walk, 'before', 'card', result, { card: name });
  return toPhase({ ...noted, notes: { ...noted.notes, card: name } }, { kind: 'plate', first: null });
}

/** The number of characters of the serial that are read off the plate. */
export const plateCharacters = 4;

function takePlate(plan: WalkPlan, walk: Walk, first: string | null, event: EventOf<'plate'>): Walk {
  const lastFour = event.lastFour.trim().toUpperCase();
  const wanted = plan.serial.slice(-plateCharacters).toUpperCase();
  if (lastFour.length !== wanted.length) {
    return complain(walk, 'last-four-form', { seen: event.lastFour });
  }
  // Another unit's plate: what was typed is told, what was expected is not.
  if (lastFour !== wanted) return complain(walk, 'last-four-differs', { heard: true, seen: lastFour });
  const typed = event.revision.trim();
  const revision = plan.product.hardware.find((known) => known.toUpperCase() === typed.toUpperCase());
  if (revision === undefined) {
    return complain(walk, 'revision-unknown', { seen: typed, expected: plan.product.hardware.join(', ') });
  }
  const fits =
    plan.release.hardware.includes(revision) && (plan.hardware === null || plan.hardware === revision);
  if (!fits && first !== revision) {
    const again = toPhase(walk, { kind: 'plate', first: revision });
    return complain(again, 'revision-again', { heard: true, seen: revision });
  }
  const result = fits ? 'this-unit' : 'wrong-hardware';
  const seen = withDone(plan, walk, partOf(walk), 'plate', result, { lastFour, revision });
  if (!fits) {
    // On resuming, things may have been switched already: that is a stop, not a deferral.
    return walk.resuming
      ? toPhase(seen, {
          kind: 'stopped',
          why: 'other-unit',
          from: { kind: 'plate', first: null },
          seen: null,
        })
      : deferred(seen, 'wrong-hardware');
  }
  return afterPlate(plan, { ...seen, notes: { ...seen.notes, revision } });
}

/** One that ends the visit has to be read and typed twice: a slip must not become the version that is on record. */
function takeVersion(
  plan: WalkPlan,
  walk: Walk,
  first: string | null,
  event: Extract<WalkEvent, { kind: 'version-before' }>,
): Walk {
  const version = event.version.trim();
  const scheme = plan.product.versions;
  if (!isVersion(scheme, version)) return complain(walk, 'version-form', { seen: version });
  const judged = plan.judgeVersion(version, walk.notes.revision ?? '');
  const isSure = event.sure === true || (first !== null && sameVersion(scheme, first, version));
  if (judged.kind === 'not-next' && !isSure) {
    const again = toPhase(walk, { kind: 'version-before', first: version });
    return complain(again, 'version-before-again', { heard: true, seen: version });
  }
  const why = judged.kind === 'not-next' ? judged.why : null;
  const facts = { version, ...(why !== null && { why }) };
  const noted = withDone(plan, walk, 'before', 'version-before', judged.kind, facts);
  const known: Walk = { ...noted, notes: { ...noted.notes, versionBefore: version, why } };
  switch (judged.kind) {
    case 'next':
      return afterVersion(plan, known);
    case 'same':
      return {
        ...known,
        notes: { ...known.notes, versionRead: version },
        result: resultOf('already-current', 'before'),
        phase: { kind: 'ended' },
      };
    case 'not-next':
      return deferred(known, 'other');
  }
}

function afterVersion({ release }: WalkPlan, walk: Walk): Walk {
  return toPhase(walk, release.resets.length > 0 ? { kind: 'settings' } : { kind: 'starts' });
}

function deferred(walk: Walk, reason: string): Walk {
  return { ...walk, result: { ...resultOf('deferred', 'before'), reason }, phase: { kind: 'ended' } };
}
