// OpenSSH's ALLOWED SIGNERS format (ssh-keygen(1)): whose keys may sign, a line each. A line that cannot be understood in full
// trusts nobody and is told with its number; the others count. Certificate authorities are refused by name.
//
//   PRINCIPALS [OPTIONS] KEYTYPE BASE64 [COMMENT]      options: namespaces="…", valid-after=…, valid-before=…

import { decodeKeyText, type SshPublicKey } from '../../bytes/ssh/public-key.ts';
import { SshFault } from '../../bytes/ssh/ssh-wire.ts';
import { parseLocalTime } from '../../words/local-time.ts';

interface Zone {
  offsetMinutes(atMs: number): number;
}

export interface AllowedSigner {
  /** Counted from 1. */
  readonly line: number;
  /** As they stand in the line: names or patterns, joined by commas. */
  readonly principals: string;
  readonly key: SshPublicKey;
  /** A pattern list; undefined: any. */
  readonly namespaces: string | undefined;
  /** Milliseconds UTC, both ends included. */
  readonly validAfterMs: number | undefined;
  readonly validBeforeMs: number | undefined;
  readonly comment: string;
}

export interface SignerLineFault {
  readonly line: number;
  readonly summary: string;
}

export interface AllowedSigners {
  readonly signers: readonly AllowedSigner[];
  readonly faults: readonly SignerLineFault[];
}

export const maxSignersBytes = 512 * 1024;
const maxLines = 5000;
const maxLineLength = 16 * 1024;
const maxFaults = 50;

/** `zone`: of the times that do not end in Z. */
export function decodeAllowedSigners(text: string, zone: Zone): AllowedSigners {
  const signers: AllowedSigner[] = [];
  const faults: SignerLineFault[] = [];
  const lines = text.split('\n');
  for (const [index, whole] of lines.entries()) {
    const line = index + 1;
    const content = whole.replace(/\r$/, '').replace(/^[ \t]+|[ \t]+$/g, '');
    if (content === '' || content.startsWith('#')) continue;
    if (faults.length >= maxFaults) break;
    if (line > maxLines) {
      faults.push({ line, summary: `There are more than ${maxLines} lines; the rest is not read.` });
      break;
    }
    try {
      signers.push(decodeLine(content, line, zone));
    } catch (error) {
      if (!(error instanceof SshFault)) throw error;
      faults.push({ line, summary: error.message });
    }
  }
  return { signers, faults };
}

const keyType = /^(?:ssh-|ecdsa-|sk-|rsa-)[\w@.-]+$/;

function decodeLine(content: string, line: number, zone: Zone): AllowedSigner {
  if (content.length > maxLineLength) throw new SshFault('The line is far too long.');
  const [principals, afterNames] = takePrincipals(content);
  let rest = afterNames;
  let options: Options = {};
  if (!keyType.test(firstWord(rest))) {
    const [text, afterOptions] = takeOptions(rest);
    if (text === '' || afterOptions === '') throw new SshFault('The line has no key.');
    options = decodeOptions(text, zone);
    rest = afterOptions;
  }
  const [, type = '', base64 = '', comment = ''] = /^(\S+)[ \t]+(\S+)[ \t]*(.*)$/.exec(rest) ?? [];
  if (!keyType.test(type)) throw new SshFault('The line has no key where one should stand.');
  if (options.certAuthority === true)
    throw new SshFault('cert-authority is not supported: give the key of each person.');
  const { namespaces, validAfterMs, validBeforeMs } = options;
  if (validAfterMs !== undefined && validBeforeMs !== undefined && validBeforeMs <= validAfterMs)
    throw new SshFault('valid-before is not after valid-after.');
  return {
    line,
    principals,
    key: decodeKeyText(type, base64),
    namespaces,
    validAfterMs,
    validBeforeMs,
    comment,
  };
}

function firstWord(text: string): string {
  return /^\S*/.exec(text)?.[0] ?? '';
}

/** One word, or a text in quotes. */
function takePrincipals(content: string): [string, string] {
  const quoted = /^"([^"]*)"[ \t]+(.*)$/.exec(content);
  const plain = quoted ?? /^([^\s"]+)[ \t]+(.*)$/.exec(content);
  if (plain === null) throw new SshFault('The line names nobody, or nothing else.');
  const [, principals = '', rest = ''] = plain;
  const parts = principals.split(',');
  if (parts.some((part) => part.trim() === '')) throw new SshFault('One of the names is empty.');
  if (parts.every((part) => part.startsWith('!')))
    throw new SshFault('The line only says whom it does not mean.');
  return [principals, rest];
}

/** Up to the first blank outside of quotes. */
function takeOptions(text: string): [string, string] {
  let isQuoted = false;
  let at = 0;
  for (; at < text.length; at++) {
    const one = text[at];
    if (one === '\\' && text[at + 1] === '"') at += 1;
    else if (one === '"') isQuoted = !isQuoted;
    else if (!isQuoted && (one === ' ' || one === '\t')) break;
  }
  if (isQuoted) throw new SshFault('A quotation mark is not closed.');
  return [text.slice(0, at), text.slice(at).replace(/^[ \t]+/, '')];
}

interface Options {
  certAuthority?: true;
  namespaces?: string;
  validAfterMs?: number;
  validBeforeMs?: number;
}

function decodeOptions(text: string, zone: Zone): Options {
  const options: Options = {};
  const once = (has: unknown, name: string) => {
    if (has !== undefined) throw new SshFault(`${name} stands there twice.`);
  };
  // Values stand in quotes, as ssh-keygen asks for them.
  const one = /([A-Za-z-]+)(?:="((?:[^"\\]|\\.)*)")?(,(?=.)|$)/y;
  for (let at = 0; at < text.length; at = one.lastIndex) {
    one.lastIndex = at;
    const found = one.exec(text);
    if (found === null)
      throw new SshFault(`The options cannot be read from '${text.slice(at, at + 20)}' on.`);
    const name = (found[1] ?? '').toLowerCase();
    const value = found[2]?.replaceAll('\\"', '"');
    if (name === 'cert-authority' && value === undefined) {
      once(options.certAuthority, name);
      options.certAuthority = true;
    } else if (name === 'namespaces' && value !== undefined && value !== '') {
      once(options.namespaces, name);
      options.namespaces = value;
    } else if (name === 'valid-after' && value !== undefined) {
      once(options.validAfterMs, name);
      options.validAfterMs = timeOf(value, zone);
    } else if (name === 'valid-before' && value !== undefined) {
      once(options.validBeforeMs, name);
      options.validBeforeMs = timeOf(value, zone);
    } else throw new SshFault(`The option '${name.slice(0, 40)}' is not known, or lacks its value.`);
  }
  return options;
}

/** `20261231`, `202612312359`, `20261231235959`, each with or without Z. */
function timeOf(text: string, zone: Zone): number {
  const [, year, month, day, hour = '00', minute = '00', second = '00', utc = ''] =
    /^(\d{4})(\d{2})(\d{2})(?:(\d{2})(\d{2})(\d{2})?)?(Z?)$/.exec(text) ?? [];
  const atMs =
    year === undefined
      ? undefined
      : parseLocalTime(`${year}-${month}-${day}T${hour}:${minute}:${second}${utc}`, zone);
  if (atMs === undefined)
    throw new SshFault(`'${text.slice(0, 20)}' is no time as YYYYMMDD or YYYYMMDDHHMM[SS].`);
  return atMs;
}
