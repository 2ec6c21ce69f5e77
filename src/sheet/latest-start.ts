// The latest hour to start: the end of the working day, less an hour's reserve, less the longest way through
// the procedure for every unit that is still to be done, one after another. Hours of the day only: work that
// would begin the day before does not fit.

export const reserveMinutes = 60;

/** Minutes of the day; undefined where the text is no time such as `16:30` or `7:05`. */
export function parseTimeOfDay(text: string): number | undefined {
  const match = /^\s*(\d{1,2})[:.](\d{2})\s*$/.exec(text);
  if (match === null) return undefined;
  const [hours, minutes] = [Number(match[1]), Number(match[2])];
  return hours < 24 && minutes < 60 ? hours * 60 + minutes : undefined;
}

export function formatTimeOfDay(minutes: number): string {
  const two = (value: number) => String(value).padStart(2, '0');
  return `${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
}

export interface LatestStart {
  /** No unit is begun after it; undefined: not even one fits into the day. */
  readonly anyUnit: number | undefined;
  /** The first of them all is begun by it; undefined: they do not all fit. */
  readonly first: number | undefined;
  /** How many fit when the day begins at 00:00. */
  readonly fit: number;
}

/**
 * All in minutes, of the day or long. `later`: the longest way at every unit after the first, where some of the work is
 * done once for all of them.
 */
export function latestStart(dayEnds: number, longest: number, units: number, later = longest): LatestStart {
  const room = dayEnds - reserveMinutes;
  const at = (count: number) => {
    const begin = room - longest - (count - 1) * later;
    return begin < 0 ? undefined : begin;
  };
  const more = later > 0 ? Math.floor((room - longest) / later) : units - 1;
  const fit = room < longest ? 0 : 1 + Math.max(0, more);
  return { anyUnit: at(1), first: at(units), fit };
}
