// The phone's own clock and zone, and times of day as the page writes them. Nothing else in the page asks for time.

export const phoneZone = { offsetMinutes: (atMs: number): number => -new Date(atMs).getTimezoneOffset() };

export function nowMs(): number {
  return Date.now();
}

const two = (value: number): string => String(value).padStart(2, '0');

/** `14:30` */
export function timeOfDay(atMs: number): string {
  const at = new Date(atMs);
  return `${two(at.getHours())}:${two(at.getMinutes())}`;
}

/** `14:30:05`, where seconds count. */
export function exactTime(atMs: number): string {
  return `${timeOfDay(atMs)}:${two(new Date(atMs).getSeconds())}`;
}

/** `2026-11-24T14:30`, as a field for day and time holds it. */
export function fieldTime(atMs: number): string {
  const at = new Date(atMs);
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}T${timeOfDay(atMs)}`;
}

/** `9:59`, `1:02:05`; a part of a second still to go counts whole. */
export function countdown(leftMs: number): string {
  const left = Math.max(0, Math.ceil(leftMs / 1000));
  const hours = Math.floor(left / 3600);
  const minutes = Math.floor((left % 3600) / 60);
  return hours > 0 ? `${hours}:${two(minutes)}:${two(left % 60)}` : `${minutes}:${two(left % 60)}`;
}
