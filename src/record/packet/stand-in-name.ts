// The names of chains that stand for others: made anew where a packet is packed without names. They are longer than any
// laptop's own id, so that the two are never taken for each other, here or later.

const lead = 'standin';

export function standInName(mark: string): string {
  return `${lead}${mark}`;
}

export function isStandIn(laptop: string): boolean {
  return laptop.startsWith(lead) && laptop.length > 12;
}
