// The cautions always stand there, in every language, and every text leaves the method to those who may say it.

import { expect, test } from 'vitest';
import { hazards } from '../../../src/manifest/schema.ts';
import { alwaysCautions, cautionLines, cautionsFor } from '../../../src/sheet/cautions.ts';
import { languages } from '../../../src/sheet/language.ts';
import { type LanguageCode, languageCodes } from '../../../src/sheet/language-codes.ts';
import { pump } from './sheet-fixture.ts';

type Always = (typeof alwaysCautions)[number];

/** What has to be said whatever the product is, by words that cannot be left out of it. */
const mustSay: Record<LanguageCode, Record<Always, RegExp[]>> = {
  en: {
    codes: [/local codes/i, /maker's manual/i, /win/],
    licensed: [/licensed persons only/i, /not alone/i],
    'not-dead': [/unlit light does not prove dead/i, /prove the meter .*test.*prove the meter again/i],
    discharge: [/longer/, /plate/, /sheet/],
    'stays-live': [
      /battery terminals cannot be switched off/i,
      /PV stays live in light/,
      /backfeed/,
      /restart by themselves/,
      /backup output may be live/i,
    ],
    locks: [/lock and tag/],
    leave: [/smoke, smell, hissing, swelling or heat: leave/i, /emergency service/, /people come before/i],
    writing: [/do not cut the power and do not pull the card/i, /unless the maker says so/],
    'switch-on': [/covers on, people clear, own locks off, customer told/],
  },
  de: {
    codes: [/örtliche vorschriften/i, /handbuch des herstellers/i, /gehen .* vor/],
    licensed: [/nur zugelassene fachkräfte/i, /nicht allein/i],
    'not-dead': [/dunkles licht beweist keine spannungsfreiheit/i, /messgerät .* prüfen, messen, .* prüfen/i],
    discharge: [/längere/, /typenschild/i, /blatt/i],
    'stays-live': [
      /batteriepole lassen sich nicht abschalten/i,
      /PV steht bei Licht unter Spannung/,
      /rückspeisen/,
      /von selbst wieder anlaufen/,
      /ersatzstromausgang kann unter spannung stehen/i,
    ],
    locks: [/schloss und schild/i],
    leave: [
      /rauch, geruch, zischen, aufblähen oder hitze: weggehen/i,
      /notruf/i,
      /menschen gehen der firmware vor/i,
    ],
    writing: [/strom nicht abschalten und karte nicht ziehen/i, /außer der Hersteller sagt es/],
    'switch-on': [/abdeckungen zu, menschen aus dem bereich, eigene schlösser ab, kunde unterrichtet/i],
  },
  fr: {
    codes: [/réglementation locale/i, /manuel du fabricant/i, /priment/],
    licensed: [/personnes habilitées seulement/i, /jamais seules/i],
    'not-dead': [
      /voyant éteint ne prouve pas l'absence de tension/i,
      /vérifier .* mesurer, vérifier .* à nouveau/i,
    ],
    discharge: [/plus long/, /plaque/, /fiche/],
    'stays-live': [
      /bornes d'une batterie ne se coupent pas/i,
      /PV est sous tension dès qu'il y a de la lumière/,
      /renvoyer du courant/,
      /redémarrer d'eux-mêmes/,
      /sortie de secours peut être sous tension/i,
    ],
    locks: [/cadenas et son étiquette/],
    leave: [
      /fumée, odeur, sifflement, gonflement ou chaleur\u00a0: partir/i,
      /secours/,
      /personnes passent avant/i,
    ],
    writing: [/ne pas couper le courant ni retirer la carte/i, /sauf si le fabricant le dit/],
    'switch-on': [/capots en place, personnes à distance, propres cadenas retirés, client prévenu/],
  },
};

test.each(languageCodes)('every caution that always stands there says what it must: %s', (code) => {
  for (const key of alwaysCautions) {
    const { title, text } = languages[code].always[key];
    for (const words of mustSay[code][key]) expect(`${title} ${text}`, key).toMatch(words);
  }
});

/** By whose word the work is done: local codes, the maker's manual, licensed practice. */
const defers: Record<LanguageCode, RegExp> = {
  en: /local codes|maker's manual|licensed/,
  de: /[Öö]rtliche[nr]? Vorschriften|Handbuch des Herstellers|zugelassene|Fachpraxis/,
  fr: /réglementation locale|manuel du fabricant|habilitée/,
};

test.each(languageCodes)(
  'every hazard has a text that defers to those who may say it, in short sentences: %s',
  (code) => {
    expect(Object.keys(languages[code].hazards).sort()).toEqual([...hazards].sort());
    for (const key of hazards) {
      const { title, text } = languages[code].hazards[key];
      expect(text, key).toMatch(defers[code]);
      expect(title.length, key).toBeGreaterThan(3);
      for (const sentence of text.split(/[.;]/))
        expect(sentence.split(/\s+/).length, `${key}: ${sentence}`).toBeLessThan(36);
    }
  },
);

/** Tells to pull a card or to cut the power; a sentence that forbids it does not. */
const orders: Record<
  LanguageCode,
  { readonly tells: readonly RegExp[]; readonly forbids: RegExp; readonly bad: readonly string[] }
> = {
  en: {
    tells: [
      /\b(?:pull|remove|take out|eject)\b[^.]*\bcard\b/i,
      /\b(?:cut|switch off|turn off|disconnect)\b[^.]*\b(?:power|supply|mains)\b/i,
    ],
    forbids: /\b(?:do not|never|nor|without)\b/i,
    bad: ['Now pull the card.', 'Switch off the supply and wait.'],
  },
  de: {
    tells: [
      /\bkarte\b[^.]*\b(?:heraus)?(?:ziehen|nehmen|entfernen|auswerfen)\b|\b(?:ziehen|nehmen|entfernen)\b[^.]*\bkarte\b/i,
      /\b(?:strom|netz|versorgung|speisung)\b[^.]*\b(?:abschalten|ausschalten|trennen|kappen)\b|\b(?:schalten|trennen)\b[^.]*\b(?:strom|netz|versorgung|speisung)\b[^.]*\b(?:ab|aus)?\b/i,
    ],
    forbids: /\b(?:nicht|nie|niemals|weder|ohne|kein\w*)\b/i,
    bad: ['Jetzt die Karte ziehen.', 'Versorgung abschalten und warten.', 'Ziehen Sie die Karte heraus.'],
  },
  fr: {
    tells: [
      /\b(?:retirer|retirez|enlever|enlevez|éjecter|sortir|sortez)\b[^.]*\bcarte\b/i,
      /\b(?:couper|coupez|éteindre|éteignez|débrancher|débranchez)\b[^.]*\b(?:courant|alimentation|secteur)\b/i,
    ],
    forbids: /\b(?:ne|n'|jamais|sans|ni)(?:\b|(?<='))/i,
    bad: ['Retirer la carte maintenant.', "Coupez l'alimentation et attendez."],
  },
};

test.each(languageCodes)(
  'no text of the tool tells anyone to pull a card or cut power, or names an order of switching: %s',
  (code) => {
    const said: string[] = [];
    const gather = (value: unknown): void => {
      if (typeof value === 'string') said.push(value);
      else if (typeof value === 'object' && value !== null) Object.values(value).forEach(gather);
    };
    gather(languages[code]);
    const { tells, forbids, bad } = orders[code];
    const telling = (text: string) => tells.some((one) => one.test(text)) && !forbids.test(text);
    expect(said.filter(telling)).toEqual([]);
    expect(said.length).toBeGreaterThan(150);
    // The judge sees what it must.
    for (const one of bad) expect(telling(one), one).toBe(true);
  },
);

test('the product names its hazards; each stands once, in our order, then what the manifest adds', () => {
  const cautions = cautionsFor({
    hazards: ['pressure', 'battery-dc', 'pressure'],
    cautions: ['The fan\u001b[31m bites\nand runs on'],
  });
  expect(cautions.always).toEqual(alwaysCautions);
  expect(cautions.hazards).toEqual(['battery-dc', 'pressure']);
  expect(cautions.added).toEqual(['The fan\\x1b[31m bites and runs on']);
  const lines = cautionLines(cautions, languages.en);
  expect(lines).toHaveLength(alwaysCautions.length + 3);
  expect(lines[alwaysCautions.length]?.title).toBe('Battery, direct current.');
  expect(cautionsFor(pump()).hazards).toEqual(['pv-dc', 'stored-charge']);
});
