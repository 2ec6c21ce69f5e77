// Sizes as people and manifests write them. GB is 10^9 bytes, GiB 2^30, as on a card's label and in a manifest.

const unitBytes: Record<string, number> = {
  '': 1,
  B: 1,
  kB: 1e3,
  KB: 1e3,
  MB: 1e6,
  GB: 1e9,
  TB: 1e12,
  KiB: 2 ** 10,
  MiB: 2 ** 20,
  GiB: 2 ** 30,
  TiB: 2 ** 40,
};

/** Bytes, a whole number; undefined where the text is no size (`4GB`, `512 MiB`, `18874368`). */
export function parseSize(text: string): number | undefined {
  const match = /^\s*(\d{1,15}(?:\.\d{1,3})?)\s*([A-Za-z]{0,3})\s*$/.exec(text);
  if (!match) return undefined;
  const unit = unitBytes[match[2] ?? ''];
  if (unit === undefined) return undefined;
  const bytes = Number(match[1]) * unit;
  return Number.isSafeInteger(Math.round(bytes)) && Number.isInteger(bytes) ? bytes : undefined;
}

/** `18.9 MB`, `32.0 GB`, `512 bytes`: three figures, decimal units, for people. */
export function formatSize(bytes: number): string {
  if (bytes < 1000) return `${bytes} bytes`;
  let value = bytes;
  for (const unit of ['kB', 'MB', 'GB', 'TB']) {
    value /= 1000;
    if (value < 999.95 || unit === 'TB') return `${value.toFixed(1)} ${unit}`;
  }
  return `${bytes} bytes`;
}

/** `18,874,368`: every digit, for where the exact count matters. */
export function formatBytes(bytes: number): string {
  return bytes.toString().replace(/\B(?=(\d{3})+$)/g, ',');
}
