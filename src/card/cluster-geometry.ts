// Where the clusters of a volume lie, whatever file system counts them: FAT and exFAT both begin at cluster 2. Offsets are
// bytes from the start of the volume.

export const firstCluster = 2;

export interface ClusterGeometry {
  readonly clusterBytes: number;
  readonly clusterCount: number;
  /** The highest cluster number there is: clusterCount + 1. */
  readonly lastCluster: number;
  /** Where cluster 2 begins. */
  readonly dataOffsetBytes: number;
}

export function clusterOffsetBytes(
  { dataOffsetBytes, clusterBytes }: Pick<ClusterGeometry, 'dataOffsetBytes' | 'clusterBytes'>,
  cluster: number,
): number {
  return dataOffsetBytes + (cluster - firstCluster) * clusterBytes;
}
