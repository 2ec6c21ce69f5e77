// The cautions always stand there, in every language, and every text leaves the method to those who may say it.

import { expect, test } from 'vitest';
import { hazards } from '../../../src/manifest/schema.ts';
import { alwaysCautions, cautionLines, cautionsFor } from '../../../src/sheet/cautions.ts';
import { languages } from '../../../src/sheet/language.ts';
import { pump } from './sheet-fixture.ts';

/** What has to be said whatever the product is, by words that cannot be left out of it. */
const mustSay: Record<(typeof alwaysCautions)[number], RegExp[]> = {
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
};

test('every caution that always stands there says what it must', () => {
  for (const language of Object.values(languages)) {
    for (const key of alwaysCautions) {
      const { title, text } = language.always[key];
      for (const words of mustSay[key]) expect(`${title} ${text}`, key).toMatch(words);
    }
  }
});

test('every hazard has a text that defers to local codes, the manual or a licence, in short sentences', () => {
  expect(Object.keys(languages.en.hazards).sort()).toEqual([...hazards].sort());
  for (const key of hazards) {
    const { title, text } = languages.en.hazards[key];
    expect(text, key).toMatch(/local codes|maker's manual|licensed/);
    expect(title.length, key).toBeGreaterThan(3);
    for (const sentence of text.split(/[.;]/))
      expect(sentence.split(/\s+/).length, `${key}: ${sentence}`).toBeLessThan(36);
  }
});

test('no text of the language tells anyone to pull a card or cut power, or names an order of switching', () => {
  const said: string[] = [];
  const gather = (value: unknown): void => {
    if (typeof value === 'string') said.push(value);
    else if (typeof value === 'object' && value !== null) Object.values(value).forEach(gather);
  };
  gather(languages.en);
  const telling = (text: string) =>
    /\b(?:pull|remove|take out|eject)\b[^.]*\bcard\b|\b(?:cut|switch off|turn off|disconnect)\b[^.]*\b(?:power|supply|mains)\b/i.test(
      text,
    ) && !/\b(?:do not|never|nor|without)\b/i.test(text);
  expect(said.filter(telling)).toEqual([]);
  expect(said.length).toBeGreaterThan(150);
  // The judge sees what it must.
  for (const bad of ['Now pull the card.', 'Switch off the supply and wait.'])
    expect(telling(bad), bad).toBe(true);
});

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
