// Local times as people write them and as the record keeps them: ISO 8601 with the laptop's offset. The zone's
// rules are the caller's (the clock's): this file only does the arithmetic.

interface Zone {
  /** Minutes to add to UTC for local time at that instant. */
  offsetMinutes(atMs: number): number;
}

const two = (value: number) => String(Math.abs(value)).padStart(2, '0');

/** `2026-11-24T14:30:00.000+01:00`. */
export function formatLocalTime(atMs: number, zone: Zone): string {
  const offset = Math.trunc(zone.offsetMinutes(atMs));
  const local = new Date(atMs + offset * 60_000).toISOString().slice(0, -1);
  const hours = Math.trunc(Math.abs(offset) / 60);
  return `${local}${offset < 0 ? '-' : '+'}${two(hours)}:${two(offset % 60)}`;
}

/** `2026-11-24`, the local day of that instant. */
export function formatLocalDay(atMs: number, zone: Zone): string {
  return formatLocalTime(atMs, zone).slice(0, 10);
}

const form =
  /^(\d{4})-(\d{2})-(\d{2})(?:[T ](\d{2}):(\d{2})(?::(\d{2})(?:[.,](\d{1,9}))?)?\s?(Z|[+-]\d{2}(?::?\d{2})?)?)?$/i;

/**
 * The instant of `2026-11-24T14:30`, with seconds and an offset or Z where given, else in the zone; a day alone
 * is its first instant. A local hour that a clock change leaves out counts as the hour after it; one that it
 * repeats, as the first. undefined: no such time.
 */
export function parseLocalTime(text: string, zone: Zone): number | undefined {
  const match = form.exec(text.trim());
  if (match === null) return undefined;
  const [, year, month, day, hour = '0', minute = '0', second = '0', fraction = '0', offset] = match;
  const parts = [year, month, day, hour, minute, second].map(Number) as [
    number,
    number,
    number,
    number,
    number,
    number,
  ];
  if (parts[3] > 23 || parts[4] > 59 || parts[5] > 59) return undefined;
  const milliseconds = Math.trunc(Number(`0.${fraction}`) * 1000);
  const asUtc = Date.UTC(parts[0], parts[1] - 1, parts[2], parts[3], parts[4], parts[5], milliseconds);
  const back = new Date(asUtc);
  if (
    back.getUTCFullYear() !== parts[0] ||
    back.getUTCMonth() !== parts[1] - 1 ||
    back.getUTCDate() !== parts[2]
  )
    return undefined;
  if (offset !== undefined) {
    const minutes = offsetOf(offset);
    return minutes === undefined ? undefined : asUtc - minutes * 60_000;
  }
  return inZone(asUtc, zone);
}

function offsetOf(text: string): number | undefined {
  if (text.toUpperCase() === 'Z') return 0;
  const hours = Number(text.slice(1, 3));
  const minutes = Number(text.slice(3).replace(':', '') || '0');
  if (hours > 18 || minutes > 59) return undefined;
  return (text.startsWith('-') ? -1 : 1) * (hours * 60 + minutes);
}

/** Both offsets that can hold around that time are tried; the earlier instant that reads so wins. */
function inZone(asUtc: number, zone: Zone): number {
  const dayMs = 86_400_000;
  const offsets = [zone.offsetMinutes(asUtc - dayMs), zone.offsetMinutes(asUtc + dayMs)];
  const instants = offsets.map((minutes) => asUtc - minutes * 60_000).sort((a, b) => a - b);
  const reads = instants.find((instant) => instant + zone.offsetMinutes(instant) * 60_000 === asUtc);
  return reads ?? asUtc - offsets[0]! * 60_000;
}
