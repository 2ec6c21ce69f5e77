// A result that was made, in its three forms: a code to read out over the telephone, a QR code, and a file. They say
// the same; which of them reaches the laptop does not matter.

import { encodeOutcomeCode } from '../../outcome/outcome-code.ts';
import { encodeOutcomeFile, outcomeFileName } from '../../outcome/outcome-file.ts';
import { encodeOutcomeQr } from '../../outcome/outcome-qr.ts';
import { drawQr } from '../../sheet-code.ts';
import { type OutcomeForm, outcomeOfForm } from '../outcome-form.ts';
import { el, type Tree } from '../tree.ts';
import type { App, InHand } from './app.ts';
import { byId, setText } from './dom.ts';
import { button, twice } from './fields.ts';
import { nowMs, phoneZone, timeOfDay } from './phone-clock.ts';
import type { MadeResult } from './pocket-state.ts';
import type { Screen } from './screen.ts';

export function makeResult(app: App, { unit, now, kept }: InHand, form: OutcomeForm): MadeResult {
  const { outcomes } = app.data;
  const outcome = outcomeOfForm(
    form,
    app.data,
    {
      sheet: outcomes.sheet,
      row: unit.row,
      serial: unit.serial,
      steps: now?.done ?? [],
      takenBack: kept.walk?.takenBack ?? 0,
    },
    phoneZone,
  );
  return {
    atMs: nowMs(),
    outcome: app.words.walk.over[outcome.outcome],
    name: outcomeFileName(outcome),
    file: encodeOutcomeFile(outcome, outcomes),
    qr: encodeOutcomeQr(outcome, outcomes) ?? null,
    code: encodeOutcomeCode(outcome, outcomes) ?? null,
  };
}

function qrTree(text: string, label: string): Tree {
  const { size, runs } = drawQr(text);
  const path = runs.map(({ row, from, length }) => `M${from} ${row}h${length}v1h-${length}z`).join('');
  return el(
    'svg',
    {
      class: 'qr',
      role: 'img',
      'aria-label': label,
      viewBox: `0 0 ${size} ${size}`,
      'shape-rendering': 'crispEdges',
    },
    el('rect', { width: size, height: size, fill: '#fff' }),
    el('path', { d: path, fill: '#000' }),
  );
}

/** `K7MD: Kilo 7 Mike Delta` */
function spelled(group: string, spelling: Readonly<Record<string, string>>): string {
  return `${group}: ${[...group].map((letter) => spelling[letter] ?? letter).join(' ')}`;
}

export function madeScreen(app: App, { unit }: InHand, made: MadeResult): Screen {
  const { pocket } = app.words;
  const { result } = pocket;
  const { code, qr } = made;
  const codeTrees =
    code === null
      ? [el('p', {}, result.codeNone)]
      : [
          el('p', {}, result.codeHow),
          el('p', { class: 'sheet-number' }, `${app.words.head.sheet} ${app.data.view.number}`),
          el('p', { class: 'code', id: 'code' }, ...code.split('-').map((group) => el('span', {}, group))),
          el('p', {}, result.spelled),
          el(
            'ol',
            { class: 'spelled' },
            ...code.split('-').map((group) => el('li', {}, spelled(group, pocket.spelling))),
          ),
        ];
  const qrTrees =
    qr === null
      ? [el('p', {}, result.qrNone)]
      : [
          el('p', {}, result.qrHow),
          qrTree(qr, result.qrAlt),
          button('other', result.copy, () => void copy(app, qr)),
          el('p', { id: 'copied', role: 'status' }),
        ];
  const isLast = app.data.view.units.every(
    ({ row }) => row === unit.row || app.state.units[row]?.made != null,
  );
  return {
    key: `made ${unit.row} ${made.atMs}`,
    content: [
      el('h2', { tabindex: -1 }, result.title),
      el('p', { class: 'strong' }, pocket.unit(unit.row, unit.serial)),
      el('p', { class: 'strong' }, `${made.outcome} ${result.made(timeOfDay(made.atMs))}.`),
      el('h3', {}, result.code),
      ...codeTrees,
      el('h3', {}, result.qr),
      ...qrTrees,
      el('h3', {}, result.file),
      el('p', { class: 'file-name' }, made.name),
      button('main', result.file, () => saveFile(made)),
      ...(canShare(made) ? [button('other', result.share, () => void share(made))] : []),
      el('p', {}, result.whatItSays),
      el(
        'div',
        { class: 'aside' },
        ...(isLast ? [] : [button('main', pocket.next, () => app.change({ row: null, place: 'walk' }))]),
        button('other', result.anew, () => app.changeUnit({ made: null })),
        twice('danger', result.forget, pocket.sure(result.forgetWhat), () => {
          app.forget();
          location.reload();
        }),
      ),
    ],
  };
}

function fileOf({ file, name }: MadeResult): File {
  return new File([file], name, { type: 'application/json' });
}

function saveFile(made: MadeResult): void {
  const address = URL.createObjectURL(fileOf(made));
  const link = document.createElement('a');
  link.href = address;
  link.download = made.name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

function canShare(made: MadeResult): boolean {
  try {
    return navigator.canShare?.({ files: [fileOf(made)] }) === true;
  } catch {
    return false;
  }
}

/** Only ever by a tap; where the person thinks better of it, nothing happened. */
async function share(made: MadeResult): Promise<void> {
  await navigator.share({ files: [fileOf(made)] }).catch(() => undefined);
}

async function copy(app: App, text: string): Promise<void> {
  const { result } = app.words.pocket;
  let done = false;
  try {
    await navigator.clipboard.writeText(text);
    done = true;
  } catch {
    done = copyBySelection(text);
  }
  setText(byId('copied'), done ? result.copied : result.notCopied);
}

/** The old way, for a page that the phone does not count as secure. */
function copyBySelection(text: string): boolean {
  const area = document.createElement('textarea');
  area.value = text;
  document.body.append(area);
  area.select();
  const done = document.execCommand('copy');
  area.remove();
  return done;
}
