// The outcome form: what it holds, how a walk fills it in, what is still wrong with it, and the outcome that comes of
// it. It never says what the version read ought to be. Judges no more than the form itself; the rest is the laptop's.

import { isVersion, sameVersion } from '../../manifest/versions.ts';
import type { DoneStep, Walk } from '../../procedure/walk/walk.ts';
import type { OutcomeKind } from '../../record/unit-state.ts';
import { formatLocalTime, parseLocalTime } from '../../words/local-time.ts';
import type { FiledOutcome } from '../outcome/outcome.ts';
import type { PocketData } from './pocket-data.ts';

interface Zone {
  offsetMinutes(atMs: number): number;
}

/** '' where nothing is said. */
export interface OutcomeForm {
  readonly outcome: string;
  readonly versionBefore: string;
  readonly versionRead: string;
  readonly displayConfirmed: boolean;
  readonly lights: string;
  readonly left: string;
  readonly reason: string;
  readonly cause: string;
  readonly card: string;
  readonly case: string;
  readonly told: string;
  readonly by: string;
  /** `2026-11-24T14:30`, local. */
  readonly at: string;
  readonly note: string;
  readonly revision: string;
}

export const emptyForm: OutcomeForm = {
  outcome: '',
  versionBefore: '',
  versionRead: '',
  displayConfirmed: false,
  lights: '',
  left: '',
  reason: '',
  cause: '',
  card: '',
  case: '',
  told: '',
  by: '',
  at: '',
  note: '',
  revision: '',
};

/** As far as a walk that has come to its end says it. */
export function formOfWalk(
  { result, notes }: Walk,
  lost: (settings: readonly string[]) => string,
): OutcomeForm {
  const note = [notes.why ?? '', notes.notRestored.length === 0 ? '' : lost(notes.notRestored)];
  return {
    ...emptyForm,
    outcome: result?.outcome ?? '',
    versionBefore: notes.versionBefore ?? '',
    versionRead: notes.versionRead ?? '',
    // The walk had it read and typed twice where it is not the release's.
    displayConfirmed: notes.versionRead !== null,
    lights: notes.lights ?? '',
    left: result?.left ?? '',
    reason: result?.reason ?? '',
    cause: result?.cause ?? '',
    card: notes.card ?? '',
    case: result?.caseNumber ?? '',
    told: result?.told ?? '',
    revision: notes.revision ?? '',
    note: note.filter(Boolean).join(' '),
  };
}

export type FormField = keyof OutcomeForm;
export type FormFault =
  | 'outcome-missing'
  | 'by-missing'
  | 'time-form'
  | 'version-form'
  | 'version-missing'
  | 'display-not-confirmed'
  | 'left-missing'
  | 'reason-missing'
  | 'too-long';

export interface FaultyField {
  readonly field: FormField;
  readonly fault: FormFault;
}

/** A QR code that a phone can show holds no more. */
const mostCharacters: Partial<Record<FormField, number>> = {
  versionBefore: 64,
  versionRead: 64,
  card: 120,
  case: 80,
  told: 80,
  by: 80,
  note: 400,
  revision: 64,
};

export function otherVersion(form: OutcomeForm, { product, release }: PocketData): boolean {
  const read = form.versionRead.trim();
  return read !== '' && !sameVersion(product.versions, read, release.version);
}

export function checkForm(form: OutcomeForm, data: PocketData, zone: Zone): FaultyField[] {
  const faults: FaultyField[] = [];
  const fault = (field: FormField, code: FormFault) => faults.push({ field, fault: code });
  const outcome = form.outcome as OutcomeKind | '';
  if (outcome === '') fault('outcome', 'outcome-missing');
  for (const field of ['versionBefore', 'versionRead'] as const) {
    const version = form[field].trim();
    if (version !== '' && !isVersion(data.product.versions, version)) fault(field, 'version-form');
  }
  if (outcome === 'already-current' && form.versionRead.trim() === '')
    fault('versionRead', 'version-missing');
  if (outcome === 'updated' && otherVersion(form, data) && !form.displayConfirmed) {
    fault('displayConfirmed', 'display-not-confirmed');
  }
  if ((outcome === 'updated' || outcome === 'failed') && form.left === '') fault('left', 'left-missing');
  if (outcome === 'deferred' && form.reason === '') fault('reason', 'reason-missing');
  if (form.by.trim() === '') fault('by', 'by-missing');
  if (!/^\d{4}-\d{2}-\d{2}T/.test(form.at) || parseLocalTime(form.at, zone) === undefined)
    fault('at', 'time-form');
  for (const [field, most] of Object.entries(mostCharacters) as [FormField, number][]) {
    if (String(form[field]).trim().length > most) fault(field, 'too-long');
  }
  return faults;
}

export interface OutcomeOf {
  readonly sheet: string;
  readonly row: number;
  readonly serial: string;
  readonly steps: readonly DoneStep[];
  readonly takenBack: number;
}

/** The form must be without faults. */
export function outcomeOfForm(form: OutcomeForm, data: PocketData, of: OutcomeOf, zone: Zone): FiledOutcome {
  const atMs = parseLocalTime(form.at, zone);
  if (atMs === undefined) throw new RangeError(`no time: ${form.at}`);
  const outcome = form.outcome as OutcomeKind;
  const text = (field: Exclude<FormField, 'displayConfirmed'>) => {
    const value = form[field].replace(/\s+/g, ' ').trim();
    return value === '' ? {} : { [field]: value };
  };
  const confirmed = form.displayConfirmed && otherVersion(form, data);
  return {
    sheet: of.sheet,
    row: of.row,
    serial: of.serial,
    outcome,
    at: formatLocalTime(atMs, zone),
    by: form.by.trim(),
    ...text('versionBefore'),
    ...text('versionRead'),
    ...(confirmed && { displayConfirmed: true as const }),
    ...text('lights'),
    ...text('left'),
    ...(outcome === 'deferred' && text('reason')),
    ...(outcome === 'failed' && text('cause')),
    ...text('revision'),
    ...text('card'),
    ...text('case'),
    ...text('told'),
    ...text('note'),
    ...(of.steps.length > 0 && { steps: of.steps }),
    ...(of.takenBack > 0 && { takenBack: of.takenBack }),
  };
}
