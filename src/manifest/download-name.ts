// What browsers and people make of a file's name on the way, undone for comparing: letter case, a counter such
// as ` (1)`, and the endings of unfinished or wrongly saved downloads. Never used to open or write a file.

const endings = /\.(?:part|partial|crdownload|download|opdownload|tmp|html?|txt|zip)$/;
const counter = / ?\(\d{1,3}\)(?=\.[^.]*$|$)/;

/** The last part of a path, whatever system it came from. */
export function baseName(path: string): string {
  return path.slice(Math.max(path.lastIndexOf('/'), path.lastIndexOf('\\')) + 1);
}

/** Could `name` be what became of a file that was called `stated`? */
export function sameDownloadName(name: string, stated: string): boolean {
  const wanted = stated.toLowerCase();
  let rest = name.toLowerCase();
  // At most a few things happen to one name; each round undoes the outermost.
  for (let round = 0; round < 6; round++) {
    if (rest === wanted || rest.replace(counter, '') === wanted) return true;
    const shorter = rest.replace(counter, '').replace(endings, '');
    if (shorter === rest) return false;
    rest = shorter;
  }
  return false;
}
