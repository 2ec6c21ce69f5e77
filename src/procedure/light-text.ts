// What lights do, in words: never by colour alone, and flashes as a count in ten seconds too, since nobody can
// judge a rate by eye.

import type { Light, LightShow, Shows } from '../manifest/schema.ts';

function times(count: number): string {
  return count === 1 ? 'once' : count === 2 ? 'twice' : `${count} times`;
}

export function secondsText(seconds: number): string {
  return seconds < 1 ? `${Math.round(seconds * 1000)} ms` : `${Math.round(seconds * 100) / 100} s`;
}

export function showText(show: LightShow): string {
  const colour = 'colour' in show && show.colour !== undefined ? ` ${show.colour}` : '';
  switch (show.kind) {
    case 'off':
      return 'off';
    case 'on':
      return `on${colour}`;
    case 'flash': {
      const inTen = show.perMinute / 6;
      // Slower than once in ten seconds: a count in ten would be nought or one.
      const count = inTen < 1 ? `${show.perMinute} in a minute` : `about ${Math.round(inTen)} in ten seconds`;
      return `flashes${colour}, ${count}`;
    }
    case 'burst':
      return `flashes${colour} ${times(show.burst)}, then a pause of ${secondsText(show.pauseSeconds)}`;
  }
}

/** `PUMP on, DATA flashes twice, then a pause of 1 s; all others off` */
export function showsText(shows: Shows, lights: readonly Light[]): string {
  if (shows.display !== undefined) return `the display says "${shows.display}"`;
  const label = (id: string): string => lights.find((light) => light.id === id)?.label ?? id;
  const parts = lights.flatMap(({ id }) => {
    const show = shows.lights[id];
    if (show === undefined || show.kind === 'off' || shows.sweep?.lights.includes(id)) return [];
    return [`${label(id)} ${showText(show)}`];
  });
  if (shows.sweep !== undefined) {
    const { sweep } = shows;
    parts.unshift(
      `${sweep.lights.map(label).join(', ')} light up in turn, ${secondsText(sweep.stepSeconds)} each`,
    );
  }
  if (parts.length === 0) return 'all lights off';
  const lit = new Set([
    ...Object.keys(shows.lights).filter((id) => shows.lights[id]?.kind !== 'off'),
    ...(shows.sweep?.lights ?? []),
  ]);
  return `${parts.join(', ')}${lit.size < lights.length ? '; the others off' : ''}`;
}
