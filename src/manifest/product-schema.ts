// A product as its manifest states it: card rule, lights, positions and procedure. The written form (sizes and
// durations as text) is what the published JSON Schema describes; the parsed form has bytes, seconds and every
// default filled in. Names are not resolved here: see lint-product.ts.

import * as z from 'zod';
import { hazards } from './hazards.ts';
import { light, pattern } from './light-schema.ts';
import { asValue } from './plain-scalar.ts';
import {
  fileName,
  folder,
  hardwareName,
  integer,
  list,
  mapping,
  matching,
  nameKey,
  oneOf,
  size,
  strict,
  text,
  truth,
  wideName,
} from './schema-parts.ts';
import { placing, step } from './step-schema.ts';

export { type Hazard, hazards } from './hazards.ts';

export const fileSystems = ['fat12', 'fat16', 'fat32', 'exfat'] as const;
export type FileSystemName = (typeof fileSystems)[number];

export const partitionTables = ['mbr', 'gpt', 'none'] as const;
export type PartitionTableName = (typeof partitionTables)[number];

export const serialChecks = ['none', 'luhn', 'mod-11-2', 'mod-37-2', 'mod-97-10'] as const;
export type SerialCheck = (typeof serialChecks)[number];

export const versionSchemes = ['dotted', 'date', 'integer'] as const;
export type VersionScheme = (typeof versionSchemes)[number];

export const afterUses = ['unchanged', 'writes', 'renames', 'consumes'] as const;
export type AfterUse = (typeof afterUses)[number];

const kibibyte = 2 ** 10;
const terabyte = 1e12;

/** The only format there is; a newer one is refused by name rather than guessed at. */
export const format = z.preprocess(asValue, z.literal(1, { error: '1, the format that this version knows' }));

const cardRule = strict({
  fileSystems: list(oneOf(fileSystems), 'file systems', 1, 4),
  partitionTables: list(oneOf(partitionTables), 'partition tables', 1, 3),
  capacity: strict({ min: size(0, 64 * terabyte), max: size(1, 64 * terabyte) }),
  maxClusterBytes: size(512, 32 * 2 ** 20).default(64 * kibibyte),
  onlyFile: truth.default(true),
  shortNameOnly: truth.default(true),
  contiguous: truth.default(false),
  rootSlots: integer(0, 65536).default(0),
  activePartition: truth.default(false),
  afterUse: oneOf(afterUses).default('unchanged'),
}).transform((written) => ({
  ...written,
  capacity: { minBytes: written.capacity.min, maxBytes: written.capacity.max },
}));

const statusWord = text(40);

/** What a unit writes on its card about the update, and how that is read. */
const resultFile = strict({
  name: fileName,
  folder: folder.default(''),
  pattern: text(400),
  updated: list(statusWord, 'status words', 1, 20),
  failed: list(statusWord, 'status words', 0, 60).default([]),
});

const position = strict({
  states: list(wideName, 'states', 2, 8),
  starts: wideName,
  ends: wideName,
});

export const productSchema = strict({
  manifest: oneOf(['product']),
  format,
  id: wideName,
  maker: text(80),
  name: text(80),
  source: strict({ document: text(200), issue: text(40).optional(), page: text(40).optional() }).optional(),
  revision: integer(1, 1_000_000).optional(),
  writtenBy: text(80).optional(),
  checkedBy: text(80).optional(),
  helpline: strict({ phone: text(60), hours: text(80).optional() }).optional(),
  hazards: list(oneOf(hazards), 'hazards', 1, hazards.length),
  cautions: list(text(500), 'cautions', 0, 40).default([]),
  bring: list(text(120), 'things to bring', 0, 60).default([]),
  hardware: list(hardwareName, 'hardware revisions', 1, 60),
  serial: strict({
    pattern: text(400),
    check: oneOf(serialChecks).default('none'),
    gtin: matching(/^\d{14}$/, 'a GTIN of 14 digits').optional(),
  }),
  versions: oneOf(versionSchemes),
  card: cardRule,
  resultFile: resultFile.optional(),
  lights: list(light, 'lights', 0, 32),
  patterns: list(pattern, 'patterns', 1, 100),
  positions: mapping(nameKey, position, 'positions', 24),
  never: list(strict({ when: placing, why: text(300) }), 'combinations that must never be', 0, 60).default(
    [],
  ),
  whileBusy: placing.default({}),
  serves: list(text(200), 'signs of service', 0, 40).default([]),
  /** By a unit's role, as the register has it: before all others of its site, or after them. */
  order: mapping(nameKey, oneOf(['first', 'last']), 'roles and their place', 24).default({}),
  procedure: list(step, 'steps', 1, 300),
});

/** As written, before sizes, durations and defaults are worked out. */
export type ProductInput = z.input<typeof productSchema>;
export type Product = z.output<typeof productSchema>;
export type CardRule = Product['card'];
export type ResultFile = NonNullable<Product['resultFile']>;
export type Position = Product['positions'][string];
export type Placing = Readonly<Record<string, string>>;
export type NeverRule = Product['never'][number];
