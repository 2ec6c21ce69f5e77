// Where a system mounts what a person plugs in, and where it keeps its own. Whatever is not known to be a place for
// plugged-in media counts as the system's: a drive that is refused too often can still be unmounted by hand.

const media = [
  /^\/(run\/)?media\/.+/,
  /^\/mnt(\/.*)?$/,
  /^\/Volumes\/.+/,
  /^\/tmp\/.+/,
  /^\/(home|Users)\/[^/]+\/.+/,
  /^[A-Z]:\\?$/i,
];

export function isOwnPath(mountPoint: string): boolean {
  return !media.some((place) => place.test(mountPoint));
}
