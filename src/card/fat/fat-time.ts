// Dates and times in directory entries (Microsoft FAT specification, section 6): 1980 to 2107, two-second
// steps, no time zone. Here they are read and written as if they were UTC; nothing is concluded from them.

export interface FatTime {
  /** 7 bits year since 1980, 4 bits month, 5 bits day. */
  readonly date: number;
  /** 5 bits hour, 6 bits minute, 5 bits half seconds. */
  readonly time: number;
  /** Hundredths of a second, 0 to 199, on top of `time`; only the creation time has them. */
  readonly hundredths: number;
}

const earliestMs = Date.UTC(1980, 0, 1);
const latestMs = Date.UTC(2107, 11, 31, 23, 59, 59, 990);

/** undefined where date or time are none (a zero date included: the field is optional). */
export function decodeFatTime({ date, time, hundredths }: FatTime): number | undefined {
  const [year, month, day] = [1980 + (date >> 9), (date >> 5) & 0x0f, date & 0x1f];
  const [hour, minute, second] = [time >> 11, (time >> 5) & 0x3f, (time & 0x1f) * 2];
  if (month < 1 || month > 12 || day < 1 || hour > 23 || minute > 59 || second > 58 || hundredths > 199) {
    return undefined;
  }
  const midnight = new Date(Date.UTC(year, month - 1, day));
  if (midnight.getUTCDate() !== day) return undefined;
  return midnight.getTime() + ((hour * 60 + minute) * 60 + second) * 1000 + hundredths * 10;
}

/** Clamps to what the format can hold; rounds down to hundredths. */
export function encodeFatTime(ms: number): FatTime {
  const at = new Date(Math.min(Math.max(ms, earliestMs), latestMs));
  const date = ((at.getUTCFullYear() - 1980) << 9) | ((at.getUTCMonth() + 1) << 5) | at.getUTCDate();
  const time = (at.getUTCHours() << 11) | (at.getUTCMinutes() << 5) | (at.getUTCSeconds() >> 1);
  const hundredths = (at.getUTCSeconds() & 1) * 100 + Math.floor(at.getUTCMilliseconds() / 10);
  return { date, time, hundredths };
}
