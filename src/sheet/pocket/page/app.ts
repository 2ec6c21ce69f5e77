// The page at work: its state, what may change it, and the one place where a change is kept and shown. Screens read
// from it and call it; they never change the page or the store themselves.

import { checkCharactersAgree } from '../../../fleet/check-characters.ts';
import { aloneOnSite, type SiteTurn } from '../../../procedure/site-turn.ts';
import type { Complaint, WalkPlan } from '../../../procedure/walk/walk.ts';
import type { WalkEvent } from '../../../procedure/walk/walk-event.ts';
import { questionOf, type WalkQuestion } from '../../../procedure/walk/walk-question.ts';
import type { SheetLanguage } from '../../language.ts';
import { paragraph } from '../../paragraph.ts';
import { type WalkTexts, walkTexts } from '../../walk/walk-texts.ts';
import type { PocketData } from '../pocket-data.ts';
import { type PocketUnit, pocketPlan } from '../pocket-plan.ts';
import { newUnitWalk, type UnitWalk, type WalkNow, walkNow, withAnswer } from '../unit-walk.ts';
import type { PageStore } from './page-store.ts';
import { exactTime, nowMs } from './phone-clock.ts';
import type { PocketState, UnitKept } from './pocket-state.ts';
import { type OtherWalk, type SiteToday, siteToday } from './site-today.ts';
import type { Sounds } from './sounds.ts';

/** An event without its time, which the page puts to it. */
export type Answer = WalkEvent extends infer Event
  ? Event extends WalkEvent
    ? Omit<Event, 'atMs'>
    : never
  : never;

/** The unit in hand with its walk, worked out. */
export interface InHand {
  readonly unit: PocketUnit;
  readonly kept: UnitKept;
  readonly plan: WalkPlan;
  readonly texts: WalkTexts;
  /** undefined: no walk yet. */
  readonly now: WalkNow | undefined;
  readonly question: WalkQuestion | undefined;
}

export class App {
  readonly data: PocketData;
  readonly words: SheetLanguage;
  readonly store: PageStore;
  readonly sounds: Sounds;
  state: PocketState;
  /** Why the last answer was not taken; gone with the next one. */
  complaint: Complaint | null = null;
  /** The page was opened with a walk under way: whether it may simply go on has to be asked. */
  mustAskReload = false;
  /** What was kept of the walk could not be read. */
  damaged = false;
  readonly #show: () => void;
  #forgotten = false;
  #inHand: { readonly of: UnitKept; readonly row: number; readonly value: InHand } | undefined;

  constructor(
    data: PocketData,
    words: SheetLanguage,
    store: PageStore,
    state: PocketState,
    makeSounds: (isOn: () => boolean) => Sounds,
    show: () => void,
  ) {
    this.data = data;
    this.words = words;
    this.store = store;
    this.state = state;
    this.sounds = makeSounds(() => this.state.sound);
    this.#show = show;
  }

  /** Kept, but not shown anew: for what is typed, so that nobody loses the place while typing. */
  keep(changes: Partial<PocketState>): void {
    this.state = { ...this.state, ...changes, aliveMs: nowMs() };
    if (!this.#forgotten) this.store.write(this.state);
  }

  /** Nothing is written any more: the page is to be opened anew. */
  forget(): void {
    this.#forgotten = true;
    this.store.forget();
  }

  change(changes: Partial<PocketState>): void {
    this.keep(changes);
    this.#show();
  }

  /** The unit in hand; undefined: none chosen yet. */
  inHand(): InHand | undefined {
    const { row } = this.state;
    const kept = row === null ? undefined : this.state.units[row];
    if (row === null || kept === undefined) return undefined;
    if (this.#inHand?.of === kept && this.#inHand.row === row) return this.#inHand.value;
    const value = this.#worked({ row, serial: kept.serial }, kept);
    this.#inHand = { of: kept, row, value };
    return value;
  }

  #worked(unit: PocketUnit, kept: UnitKept): InHand {
    const { data, words } = this;
    const plan = pocketPlan(data, words, unit, kept.turn);
    const texts = walkTexts(words, data.product, data.release, unit.serial, exactTime);
    let now: WalkNow | undefined;
    try {
      now = kept.walk === null ? undefined : walkNow(plan, kept.walk);
    } catch {
      this.damaged = true;
    }
    const question = now === undefined ? undefined : questionOf(plan, now.walk);
    return { unit, kept, plan, texts, now, question };
  }

  /** What was done for the site with the other units of this page. */
  siteToday(): SiteToday {
    const others = Object.entries(this.state.units).flatMap(([row, kept]): OtherWalk[] => {
      if (Number(row) === this.state.row) return [];
      const { serial, made } = kept;
      const { now, plan } = this.#worked({ row: Number(row), serial }, kept);
      const at = now?.walk.begun === true ? plan.product.procedure[now.walk.at.step] : undefined;
      return [{ serial, now, end: at?.kind === 'end' ? at.id : undefined, isMade: made !== null }];
    });
    return siteToday(this.data, others);
  }

  /** Of the unit in hand, as long as its walk has not begun. */
  turnNow(): SiteTurn {
    const today = this.siteToday();
    if (!today.isShared) return aloneOnSite;
    const more = this.inHand()?.kept.moreUnits ?? !today.isLast;
    return { first: today.openedWith === null, last: !more };
  }

  /** Of the unit in hand. */
  #withKept(changes: Partial<UnitKept>): PocketState['units'] {
    const { row, units } = this.state;
    const kept = row === null ? undefined : units[row];
    return row === null || kept === undefined ? units : { ...units, [row]: { ...kept, ...changes } };
  }

  keepUnit(changes: Partial<UnitKept>): void {
    this.keep({ units: this.#withKept(changes) });
  }

  changeUnit(changes: Partial<UnitKept>): void {
    this.change({ units: this.#withKept(changes) });
  }

  takeUnit(row: number, serial: string): void {
    const known = this.state.units[row];
    const kept = known?.serial === serial ? known : { serial, walk: null, form: null, made: null };
    this.change({ row, units: { ...this.state.units, [row]: kept } });
  }

  /** A serial as typed from a plate; a code of what is wrong where it is none. */
  readSerial(typed: string): { readonly serial: string } | { readonly fault: 'form' | 'check' } {
    const serial = paragraph(typed.normalize('NFKC').toUpperCase()).slice(0, 64);
    if (!/^[A-Z0-9][A-Z0-9 ./*_+#-]{2,38}[A-Z0-9*]$/.test(serial)) return { fault: 'form' };
    return checkCharactersAgree(this.data.product.serial.check, serial) ? { serial } : { fault: 'check' };
  }

  beginWalk(): void {
    if (!this.state.cautionsRead) return;
    this.keepUnit({ turn: this.turnNow() });
    const inHand = this.inHand();
    if (inHand === undefined) return;
    const atMs = nowMs();
    let walk = newUnitWalk(atMs);
    for (let i = 0; i < inHand.plan.cautions; i++) {
      walk = withAnswer(inHand.plan, walk, { kind: 'caution-read', atMs }).kept;
    }
    this.damaged = false;
    this.keep({ cautionsRead: false, ticked: [] });
    this.changeUnit({ walk, form: null, made: null });
  }

  /** Every caution of the walk in hand, acknowledged. */
  acknowledgeAll(): void {
    const inHand = this.inHand();
    const atMs = nowMs();
    let walk = inHand?.kept.walk ?? null;
    if (inHand === undefined || walk === null) return;
    for (let i = 0; i < inHand.plan.cautions; i++) {
      walk = withAnswer(inHand.plan, walk, { kind: 'caution-read', atMs }).kept;
    }
    this.keep({ ticked: [] });
    this.changeUnit({ walk });
  }

  setWalk(walk: UnitWalk): void {
    this.complaint = null;
    this.changeUnit({ walk });
  }

  answer(answer: Answer): void {
    const inHand = this.inHand();
    const walk = inHand?.kept.walk;
    if (inHand === undefined || walk === null || walk === undefined) return;
    const { kept, complaint } = withAnswer(inHand.plan, walk, { ...answer, atMs: nowMs() } as WalkEvent);
    this.complaint = complaint;
    // A walk that goes on makes a result that was made before no longer its own.
    this.changeUnit({ walk: kept, ...(kept !== walk && { form: null, made: null }) });
  }
}
