// From a path to what lies there: a pocket page's file or a text with its codes, a card image file, a mounted card or
// a folder of such files. Only reads. What cannot be read is an offer of its own, so that one bad source stops no other.

import { examineCard } from '../../card/look/examine-card.ts';
import type { CardVolume, ExaminedCard, FileNode, FolderNode } from '../../card/look/examined-card.ts';
import { fileChunks } from '../../card/look/read-file.ts';
import { maxResultBytes } from '../../fleet/read-result-file.ts';
import type { Product, ResultFile } from '../../manifest/schema.ts';
import type { BlockReader } from '../../ports/blocks.ts';
import { Failure } from '../../words/failure.ts';
import { printable } from '../../words/printable.ts';
import type { Context } from '../context.ts';
import { byHand, logWhatItShows, type Offer, refusedOffer } from './offer.ts';
import { readPageText } from './read-page-text.ts';

const largestTextBytes = 8_000_000;
/** Of a folder; what lies deeper is not looked at. */
const mostFiles = 2000;

const elsewhere =
  'Give the file, the card or the folder that holds it; of a folder only the files in it are looked at.';

export type Leaving = Product & { readonly resultFile: ResultFile };

export function leavingResults(products: Iterable<Product>): Leaving[] {
  return [...products].filter((product): product is Leaving => product.resultFile !== undefined);
}

export function readSource(context: Context, given: string, products: readonly Leaving[]): Offer[] {
  const { files } = context;
  const path = files.absolute(given);
  try {
    if (files.facts(path)?.kind === 'folder') return readFolder(context, path, products);
    if (files.facts(path)?.kind !== 'file' || /\.img$/i.test(path)) return readCard(context, path, products);
    return readFile(context, path, products);
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    const { code, summary, next } = error.facts;
    return [refusedOffer(path, code, summary, next)];
  }
}

/** Products whose units leave a file of this name, whatever the folder. */
function named(products: readonly Leaving[], name: string): Leaving[] {
  return products.filter(({ resultFile }) => resultFile.name === name.toUpperCase());
}

function nameOf(path: string): string {
  return path.split(/[\\/]/).at(-1) ?? path;
}

function readFile({ files }: Context, path: string, products: readonly Leaving[]): Offer[] {
  const leaving = named(products, nameOf(path));
  if (leaving.length > 0) return [resultOffer(files.readBytes(path, largestTextBytes), path, leaving)];
  return readPageText(files.readText(path, largestTextBytes), path);
}

function resultOffer(bytes: Uint8Array, source: string, products: readonly Product[], card?: string): Offer {
  return { kind: 'result', source, bytes, products, card };
}

/** A mounted card, or a folder with what came from phones: of other people's files there nothing is said. */
function readFolder(context: Context, path: string, products: readonly Leaving[]): Offer[] {
  const { files } = context;
  const offers: Offer[] = [];
  for (const folder of new Set(products.map(({ resultFile }) => resultFile.folder))) {
    const there = products.filter(({ resultFile }) => resultFile.folder === folder);
    const inside = folder === '' ? path : folderWithin(context, path, folder);
    if (inside === undefined) continue;
    for (const { name, kind } of files.list(inside).slice(0, mostFiles)) {
      const leaving = kind === 'file' ? named(there, name) : [];
      if (leaving.length === 0) continue;
      const file = files.absolute(`${inside}/${name}`);
      offers.push(resultOffer(files.readBytes(file, largestTextBytes), file, leaving));
    }
  }
  for (const { name, kind } of files.list(path).slice(0, mostFiles)) {
    const file = files.absolute(`${path}/${name}`);
    if (kind !== 'file' || !/\.(json|txt)$/i.test(name) || named(products, name).length > 0) continue;
    if ((files.facts(file)?.sizeBytes ?? 0) > largestTextBytes) continue;
    const found = readPageText(files.readText(file, largestTextBytes), file);
    offers.push(...found.filter((offer) => offer.kind === 'page' && offer.form !== 'code'));
  }
  if (offers.length > 0) return offers;
  return [refusedOffer(path, 'nothing-here', nothingHere(products), elsewhere)];
}

function folderWithin({ files }: Context, path: string, folder: string): string | undefined {
  let inside = path;
  for (const part of folder.split('/')) {
    const found = files
      .list(inside)
      .slice(0, mostFiles)
      .find(({ name, kind }) => kind === 'folder' && name.toUpperCase() === part);
    if (found === undefined) return undefined;
    inside = `${inside}/${found.name}`;
  }
  return inside;
}

function nothingHere(products: readonly Leaving[]): string {
  const names = [...new Set(products.map(({ resultFile }) => resultFile.name))].join(', ');
  return names === ''
    ? 'No outcome lies here, and no product that is known here leaves a result file on its card.'
    : `Neither an outcome of a pocket page nor a result file (${printable(names)}) lies here.`;
}

function readCard({ cards }: Context, path: string, products: readonly Leaving[]): Offer[] {
  const blocks = cards.openToRead(path);
  try {
    return cardOffers(examineCard(blocks), blocks, path, products);
  } finally {
    blocks.close();
  }
}

function cardOffers(
  { volume, findings }: ExaminedCard,
  blocks: BlockReader,
  path: string,
  products: readonly Leaving[],
): Offer[] {
  if (volume === null) {
    const why = findings.findLast(({ severity }) => severity === 'stop')?.summary;
    const summary = why ?? 'No file system that can be read is on this card.';
    const next = `Look at it with slotproof check; log by hand what the unit shows: ${byHand}.`;
    return [refusedOffer(path, 'card-unreadable', summary, next)];
  }
  const found = new Map<FileNode, Leaving[]>();
  for (const product of products) {
    const { name, folder } = product.resultFile;
    const node = fileAt(volume.root, folder === '' ? [] : folder.split('/'), name);
    if (node !== undefined) found.set(node, [...(found.get(node) ?? []), product]);
  }
  if (found.size === 0) return [refusedOffer(path, 'nothing-here', nothingHere(products), elsewhere)];
  return [...found].map(([node, leaving]) => {
    const source = `${path}:${printable(node.path, 200)}`;
    if (node.sizeBytes > maxResultBytes) {
      const summary = `A result file has at most ${maxResultBytes} bytes.`;
      return refusedOffer(source, 'result-too-large', summary, logWhatItShows);
    }
    const bytes = contentOf(blocks, volume, node);
    if (bytes === undefined)
      return refusedOffer(
        source,
        'result-damaged',
        'The card does not give this file whole.',
        logWhatItShows,
      );
    return resultOffer(bytes, source, leaving, path);
  });
}

function fileAt(root: FolderNode, folders: readonly string[], name: string): FileNode | undefined {
  let folder = root;
  for (const part of folders) {
    const next = folder.children.find((node) => node.isFolder && !node.damaged && node.shortName === part);
    if (next?.isFolder !== true) return undefined;
    folder = next;
  }
  const file = folder.children.find((node) => !node.isFolder && !node.damaged && node.shortName === name);
  return file?.isFolder === false ? file : undefined;
}

function contentOf(blocks: BlockReader, volume: CardVolume, node: FileNode): Uint8Array | undefined {
  if (node.chain !== 'sound' && node.chain !== 'long') return undefined;
  const bytes = new Uint8Array(node.sizeBytes);
  let filled = 0;
  for (const chunk of fileChunks(blocks, volume, node)) {
    bytes.set(chunk, filled);
    filled += chunk.length;
  }
  return filled === bytes.length ? bytes : undefined;
}
