// A manifest as it lies in a folder, before anything in it is believed.

export interface ManifestText {
  /** Absolute; what findings name. */
  readonly path: string;
  readonly content: string | Uint8Array;
}

/** Far more than a lead writes by hand; a larger file is told, not read. */
export const maxManifestBytes = 256 * 1024;
