// Which names a manifest may have that travels: below `manifests/`, in sub-folders as deep as are read, and fit for every
// system that a packet may come to. A name from outside is never mended: it is fit, or the packet is refused.

const maxDepth = 8;
const reserved = /^(?:con|prn|aux|nul|com\d|lpt\d)(?:\.|$)/i;
/** Letters and figures of any script, and what people put between them; no blank or full stop at either end. */
const part = /^[\p{L}\p{N}_@(+][\p{L}\p{M}\p{N} _@()+.,'-]*$/u;

/** In words; undefined where the name is fit. */
export function manifestNameFault(name: string): string | undefined {
  const parts = name.split('/');
  if (parts.length > maxDepth) return 'A manifest lies deeper than manifests are read.';
  const isFit = parts.every(
    (one) =>
      one.length <= 100 &&
      part.test(one) &&
      !/[ .]$/.test(one) &&
      !reserved.test(one) &&
      one.normalize('NFC') === one,
  );
  if (!isFit) return 'The name of a manifest is not fit to be a file below manifests/.';
  return /\.(?:ya?ml|json)$/i.test(name) && !/\.schema\.json$/i.test(name)
    ? undefined
    : 'A manifest is named unlike one (.yaml, .yml, .json).';
}

/** Equal for names that some system takes for the same file. */
export function sameManifestName(name: string): string {
  return name.toLowerCase();
}
