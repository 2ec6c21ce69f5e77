// The two kinds of manifest, as schemas and as types: the one place to import them from.

export { type DigestKind, type Digests, digestHexLength, digestKinds } from '../bytes/digests.ts';
export {
  type Light,
  type LightShow,
  type Pattern,
  reservedLightNames,
  type Shows,
  type Sweep,
} from './light-schema.ts';
export {
  type AfterUse,
  type CardRule,
  type FileSystemName,
  fileSystems,
  type Hazard,
  hazards,
  type NeverRule,
  type PartitionTableName,
  type Placing,
  type Position,
  type Product,
  type ProductInput,
  partitionTables,
  productSchema,
  type ResultFile,
  type SerialCheck,
  type VersionScheme,
  versionSchemes,
} from './product-schema.ts';
export {
  type DownloadFacts,
  type From,
  type ImageFacts,
  type Priority,
  type Release,
  type ReleaseInput,
  releaseSchema,
  type Withdrawn,
} from './release-schema.ts';
export {
  type ConfirmStep,
  type DoStep,
  type EndStep,
  type HoldStep,
  type MeasureStep,
  type ReadStep,
  type Step,
  type StepKind,
  stepKinds,
  type WaitStep,
  type WatchStep,
} from './step-schema.ts';
