// All that the page knows beyond the sheet: how it looks, where the reader is, and each unit's walk and result. A plain
// value, kept as JSON.

import type { SiteTurn } from '../../../procedure/site-turn.ts';
import type { OutcomeForm } from '../outcome-form.ts';
import type { UnitWalk } from '../unit-walk.ts';

export const places = ['walk', 'list', 'lights', 'trouble', 'result'] as const;
export type Place = (typeof places)[number];
export const themes = ['sun', 'dark'] as const;
export type Theme = (typeof themes)[number];
export const sizes = [100, 125, 150, 200] as const;

/** A result as it was made; the texts are what goes out. */
export interface MadeResult {
  readonly atMs: number;
  readonly outcome: string;
  readonly name: string;
  readonly file: string;
  readonly qr: string | null;
  readonly code: string | null;
}

export interface UnitKept {
  readonly serial: string;
  readonly walk: UnitWalk | null;
  /** Its place among the units of the site, settled when the walk began. */
  readonly turn?: SiteTurn;
  /** Said before it begins: another unit follows today, or none; else it goes by the rows. */
  readonly moreUnits?: boolean;
  readonly form: OutcomeForm | null;
  readonly made: MadeResult | null;
}

export interface PocketState {
  readonly format: 1;
  readonly place: Place;
  readonly theme: Theme;
  readonly size: number;
  readonly sound: boolean;
  /** The cautions were acknowledged once, so that the rest of the page is open. */
  readonly opened: boolean;
  /** They were acknowledged and no walk has begun since. */
  readonly cautionsRead: boolean;
  readonly ticked: readonly number[];
  readonly emergency: string;
  readonly secondPerson: string;
  readonly by: string;
  /** The unit in hand, from 1; null: not chosen yet. */
  readonly row: number | null;
  readonly units: Readonly<Record<number, UnitKept>>;
  /** When the page was last seen running. */
  readonly aliveMs: number;
}

export function firstState(theme: Theme): PocketState {
  return {
    format: 1,
    place: 'walk',
    theme,
    size: 100,
    sound: true,
    opened: false,
    cautionsRead: false,
    ticked: [],
    emergency: '',
    secondPerson: '',
    by: '',
    row: null,
    units: {},
    aliveMs: 0,
  };
}

/** undefined where it is none, or one of another version of the page. */
export function decodeState(text: string): PocketState | undefined {
  if (text === '') return undefined;
  const value = JSON.parse(text) as Partial<PocketState> | null;
  if (typeof value !== 'object' || value === null || value.format !== 1) return undefined;
  const state = { ...firstState('sun'), ...value };
  const sound =
    places.includes(state.place) && themes.includes(state.theme) && typeof state.units === 'object';
  return sound ? state : undefined;
}
