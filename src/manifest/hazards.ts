// The hazards that have built-in cautions, by the names that manifests call them. Apart from the schema, so that
// what only needs the names does not carry the schema with it.

export const hazards = [
  'battery-dc',
  'mains-ac',
  'pv-dc',
  'stored-charge',
  'automatic-restart',
  'backfeed',
  'backup-output-live',
  'vehicle-connected',
  'moving-parts',
  'hot-surfaces',
  'pressure',
  'refrigerant',
  'heavy',
  'work-alone',
] as const;
export type Hazard = (typeof hazards)[number];
