// The manifests of a packet: those of this workspace as they are packed, and another's as they are taken in. New ones are
// added. Of two that differ the one that was written later is used, and it is said; the older one is kept beside them,
// outside of `manifests/`. One that would lift a withdrawal never takes another's place by itself.

import { sha256Hex } from '../../bytes/sha256.ts';
import { maxManifestBytes } from '../../manifest/manifest-text.ts';
import { readManifests } from '../../manifest/read-manifests.ts';
import { speaksOfWithdrawal as withdraws } from '../../manifest/trust/doubted-releases.ts';
import type { SignatureVerdict } from '../../manifest/trust/judge-signature.ts';
import { manifestNameFault } from '../../record/packet/manifest-name.ts';
import { maxSignatureCharacters, type PacketManifest } from '../../record/packet/packet-lines.ts';
import { Failure } from '../../words/failure.ts';
import type { Finding } from '../../words/finding.ts';
import { formatLocalTime } from '../../words/local-time.ts';
import { printable } from '../../words/printable.ts';
import type { Context } from '../context.ts';
import type { JudgeManifest } from './packet-signatures.ts';

type World = Pick<Context, 'files' | 'workspace' | 'clock'>;

const encoder = new TextEncoder();
const decoder = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });

function asText(content: Uint8Array): string | undefined {
  try {
    return decoder.decode(content);
  } catch {
    return undefined;
  }
}

export interface PackedManifests {
  readonly manifests: readonly PacketManifest[];
  readonly newsMs: number | undefined;
  readonly findings: readonly Finding[];
}

/** Sorted by name. Held in memory: a firm has some hundred of them, of a few kilobytes each. */
export function manifestsToPack({ files, workspace, clock }: World): PackedManifests {
  const findings: Finding[] = [];
  const manifests: PacketManifest[] = [];
  let newsMs: number | undefined;
  const folder = files.absolute(workspace.manifests);
  for (const { path, content } of readManifests(files, [folder])) {
    const manifest = path.slice(folder.length + 1).replaceAll('\\', '/');
    const text = typeof content === 'string' ? content : asText(content);
    const fault =
      text === undefined || content.length > maxManifestBytes
        ? 'A manifest that is no text, or far too large, is not packed.'
        : manifestNameFault(manifest);
    if (fault !== undefined || text === undefined) {
      findings.push({
        code: 'manifest-not-packed',
        severity: 'warn',
        summary: fault ?? '',
        where: printable(path, 300),
        next: 'Correct or rename it, then pack again.',
      });
      continue;
    }
    const modifiedMs = Math.trunc(Math.min(files.facts(path)?.modifiedMs ?? 0, clock.now()));
    if (newsMs === undefined || modifiedMs > newsMs) newsMs = modifiedMs;
    manifests.push({
      manifest,
      modified: formatLocalTime(modifiedMs, clock),
      sha256: sha256Hex(text),
      text,
      signature: signatureOf({ files }, path),
    });
  }
  manifests.sort((a, b) => (a.manifest < b.manifest ? -1 : 1));
  return { manifests, newsMs, findings };
}

function signatureOf({ files }: Pick<World, 'files'>, path: string): string | null {
  if (files.facts(`${path}.sig`)?.kind !== 'file') return null;
  try {
    const text = asText(files.readBytes(`${path}.sig`, maxSignatureCharacters));
    return text === undefined || text === '' ? null : text;
  } catch (error) {
    if (error instanceof Failure) return null;
    throw error;
  }
}

export interface ManifestsTaken {
  readonly added: readonly string[];
  readonly same: number;
  /** Ours gave way; it lies at `keptAt`. */
  readonly replaced: readonly { readonly manifest: string; readonly keptAt: string }[];
  /** Ours stays, although theirs is another. */
  readonly notTaken: readonly string[];
  /** Of each manifest of the packet; undefined: trust is off, and no signature was looked at. */
  readonly signatures: readonly ManifestSignature[] | undefined;
  /** Not taken for want of trust, although they speak of a withdrawal. */
  readonly doubtful: readonly Pick<PacketManifest, 'manifest' | 'text'>[];
  readonly findings: readonly Finding[];
}

export interface ManifestSignature {
  readonly manifest: string;
  readonly verdict: SignatureVerdict['kind'];
  /** Who signed; null where that is not proved. */
  readonly by: string | null;
}

export class ManifestIntake {
  readonly #world: World;
  readonly #judge: JudgeManifest | undefined;
  readonly #signatures: ManifestSignature[] = [];
  readonly #doubtful: Pick<PacketManifest, 'manifest' | 'text'>[] = [];
  readonly #added: string[] = [];
  readonly #replaced: { manifest: string; keptAt: string }[] = [];
  readonly #notTaken: string[] = [];
  readonly #findings: Finding[] = [];
  #same = 0;

  /** `judge`: where trust is on. What it does not call signed is never taken. */
  constructor(world: World, judge?: JudgeManifest) {
    this.#world = world;
    this.#judge = judge;
  }

  /** Of a packet that was checked: its name is fit and its text the one that was digested. */
  take(theirs: PacketManifest): void {
    const { files, workspace } = this.#world;
    const name = theirs.manifest;
    if (manifestNameFault(name) !== undefined) throw new Error(`not checked: ${name}`);
    const ours = this.#placeOf(name);
    const verdict = this.#verdictOf(theirs);
    if (verdict !== undefined && verdict.kind !== 'signed' && !this.#isSame(ours, theirs)) {
      this.#refuseUntrusted(theirs, verdict.finding);
      return;
    }
    if (ours === 'not ours') {
      this.#refuse(
        name,
        'A folder on the way to a manifest is none of the workspace.',
        'a link, or no folder',
      );
      return;
    }
    const path = ours ?? `${workspace.manifests}/${name}`;
    if (ours === undefined) {
      this.#write(path, theirs);
      this.#added.push(name);
      return;
    }
    const bytes = this.#bytesOf(path);
    if (bytes !== undefined && sha256Hex(bytes) === theirs.sha256) {
      this.#same += 1;
      this.#takeSignature(path, theirs, bytes);
      return;
    }
    this.#settle(path, theirs, bytes, files.facts(path)?.modifiedMs ?? 0);
  }

  result(): ManifestsTaken {
    return {
      added: this.#added,
      same: this.#same,
      replaced: this.#replaced,
      notTaken: this.#notTaken,
      signatures: this.#judge === undefined ? undefined : this.#signatures,
      doubtful: this.#doubtful,
      findings: this.#findings,
    };
  }

  #verdictOf({ manifest, text, signature }: PacketManifest): SignatureVerdict | undefined {
    const verdict = this.#judge?.(manifest, encoder.encode(text), signature ?? undefined);
    if (verdict !== undefined)
      this.#signatures.push({
        manifest,
        verdict: verdict.kind,
        by: verdict.kind === 'signed' ? verdict.by : null,
      });
    return verdict;
  }

  #isSame(ours: string | undefined, { sha256 }: PacketManifest): boolean {
    const bytes = ours === undefined || ours === 'not ours' ? undefined : this.#bytesOf(ours);
    return bytes !== undefined && sha256Hex(bytes) === sha256;
  }

  /** One without a signature may be an old habit; one with a bad signature is a forgery or damage. */
  #refuseUntrusted(theirs: PacketManifest, finding: Finding): void {
    const { manifest, text } = theirs;
    this.#notTaken.push(manifest);
    if (withdraws(text)) this.#doubtful.push({ manifest, text });
    const isBad = finding.code === 'signature-bad';
    this.#findings.push({
      ...finding,
      severity: isBad ? 'stop' : 'warn',
      summary: `${isBad ? finding.summary.replace(/ The manifest is not used\.$/, '') : 'A manifest in the packet is not signed.'} It was not taken.`,
      where: printable(manifest, 200),
      next: 'Ask the service lead for a packet in which it is signed by somebody trusted here.',
    });
  }

  /** Whether the one here may be used: always, where trust is off. */
  #isOursTrusted(path: string, bytes: Uint8Array): boolean {
    if (this.#judge === undefined) return true;
    return this.#judge(path, bytes, signatureOf(this.#world, path) ?? undefined).kind === 'signed';
  }

  /** Two that differ. */
  #settle(path: string, theirs: PacketManifest, bytes: Uint8Array | undefined, oursMs: number): void {
    const name = theirs.manifest;
    const theirsMs = Date.parse(theirs.modified);
    if (bytes === undefined) {
      this.#refuse(
        name,
        'What lies under the name of a manifest here cannot be read.',
        'not a file to be read',
      );
      return;
    }
    if (theirsMs <= oursMs && this.#isOursTrusted(path, bytes)) {
      this.#refuse(name, 'A manifest here is newer than the one in the packet, and stays.', theirs.modified);
      return;
    }
    if (withdraws(asText(bytes) ?? '') && !withdraws(theirs.text)) {
      this.#refuse(
        name,
        'A manifest in the packet would lift a withdrawal, and was not taken.',
        theirs.modified,
      );
      return;
    }
    if (this.#judge !== undefined && revisionOf(theirs.text) < revisionOf(asText(bytes) ?? '')) {
      this.#refuse(
        name,
        'A manifest in the packet is of a lower revision than the one here, and was not taken.',
        `${revisionOf(theirs.text) < 0 ? 'no revision' : `revision ${revisionOf(theirs.text)}`}, said to be of ${theirs.modified}`,
      );
      return;
    }
    const keptAt = this.#keepOurs(name, path, bytes);
    this.#write(path, theirs);
    this.#replaced.push({ manifest: name, keptAt });
    this.#findings.push({
      code: 'manifest-replaced',
      severity: 'warn',
      summary: 'A manifest here was older than the one in the packet: the newer one is used now.',
      seen: `of ${theirs.modified}`,
      where: printable(name, 200),
      next: `The old one lies in ${printable(keptAt, 400)}; put it back if the newer one is not the service lead's.`,
    });
  }

  #refuse(name: string, summary: string, seen: string): void {
    this.#notTaken.push(name);
    this.#findings.push({
      code: 'manifest-differs',
      severity: 'warn',
      summary,
      seen: printable(seen, 80),
      where: printable(name, 200),
      next: 'Ask the service lead which one stands, and put that one into manifests/.',
    });
  }

  /**
   * Where a manifest of this name lies here, in whatever case of letters; undefined: nowhere. `not ours`: the way there
   * leads through a link, or through what is no folder.
   */
  #placeOf(name: string): string | undefined | 'not ours' {
    const { files, workspace } = this.#world;
    let folder = workspace.manifests;
    const parts = name.split('/');
    for (const [index, part] of parts.entries()) {
      const same = files.list(folder).filter((entry) => entry.name.toLowerCase() === part.toLowerCase());
      const found = same.find((entry) => entry.name === part) ?? same[0];
      if (found === undefined) return undefined;
      const isLast = index === parts.length - 1;
      if (found.kind !== (isLast ? 'file' : 'folder')) return 'not ours';
      folder = `${folder}/${found.name}`;
    }
    return folder;
  }

  #bytesOf(path: string): Uint8Array | undefined {
    try {
      return this.#world.files.readBytes(path, maxManifestBytes);
    } catch (error) {
      if (error instanceof Failure) return undefined;
      throw error;
    }
  }

  /** Under its digest, so that nothing that was kept is ever written over. */
  #keepOurs(name: string, path: string, bytes: Uint8Array): string {
    const { files, workspace } = this.#world;
    const kept = files.absolute(`${workspace.root}/manifests-before`);
    files.makeFolder(kept);
    const at = `${kept}/${sha256Hex(bytes).slice(0, 16)}_${name.replaceAll('/', '_')}`;
    if (files.facts(at) === undefined) files.writeNew(at, [bytes]);
    const signature = signatureOf({ files }, path);
    if (signature !== null && files.facts(`${at}.sig`) === undefined)
      files.writeNew(`${at}.sig`, [new TextEncoder().encode(signature)]);
    return at;
  }

  #write(path: string, { text, signature, modified }: PacketManifest): void {
    const { files, clock } = this.#world;
    const sig = `${path}.sig`;
    files.makeFolder(path.slice(0, path.lastIndexOf('/')));
    // A signature of the old text would only look like one of the new.
    if (files.facts(sig) !== undefined) files.remove(sig);
    files.write(path, text);
    // The news is as old as it is, through however many hands it came; never from the future.
    files.setModified(path, Math.min(Date.parse(modified), clock.now()));
    if (signature !== null) files.write(sig, signature);
  }

  /** The same manifest: a signature that is missing here comes in, or one that counts where ours does not. */
  #takeSignature(path: string, { manifest, signature }: PacketManifest, bytes: Uint8Array): void {
    const { files } = this.#world;
    if (signature === null) return;
    const isTheirsGood =
      this.#judge === undefined || this.#judge(manifest, bytes, signature).kind === 'signed';
    const isMissing = files.facts(`${path}.sig`) === undefined;
    if (isTheirsGood && (isMissing || !this.#isOursTrusted(path, bytes)))
      files.write(`${path}.sig`, signature);
  }
}

/**
 * A product's own, as its writer raised it; -1 where it says none, or more than one. A time in a packet is not under the
 * signature, this number is: an older manifest cannot be passed off as news by it.
 */
function revisionOf(text: string): number {
  const [only, second] = [...text.matchAll(/(?:^|[\n{,])\s*["']?revision["']?\s*:\s*(\d{1,9})(?![\w.])/g)];
  return only === undefined || second !== undefined ? -1 : Number(only[1]);
}
