// Signed manifests in packets: what a packet brings is judged by the trust of the workspace that it comes to, and a packet
// never brings trust.

import {
  cpSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { manifestLine, packetText } from '../support/packets.ts';
import { type RegisterWorkspace, registerWorkspace } from '../support/register-workspace.ts';
import { runCli } from '../support/run-cli.ts';
import { makeKey, signByKeygen } from '../support/ssh-keys.ts';

const keys = mkdtempSync(join(tmpdir(), 'slotproof-keys-'));
afterAll(() => rmSync(keys, { recursive: true }));
const lead = makeKey(keys, 'ed25519', 'lead');
const stranger = makeKey(keys, 'ed25519', 'stranger');
const day = 1_795_000_000;
const release = 'rill-40@4.2.0.yaml';
const withdrawn = 'withdrawn: { on: 2026-11-21, why: It stops }\n';

interface Laptop extends RegisterWorkspace {
  readonly cli: (...args: string[]) => ReturnType<typeof runCli>;
  readonly at: (name?: string) => string;
}
let crew: RegisterWorkspace[] = [];
let packets = 0;
let a: Laptop;
let b: Laptop;

function opened(workspace: RegisterWorkspace): Laptop {
  const cli = (...args: string[]) =>
    runCli([...args, '--json', '--as', 'R. Quill'], { workspace: workspace.path });
  const at = (name = release) => join(workspace.path, 'manifests', name);
  return { ...workspace, cli, at };
}
/** Its manifests are signed by the lead, whom it trusts: made once, and copied. */
let model: Laptop;
beforeAll(async () => {
  model = opened(registerWorkspace());
  const names = readdirSync(model.at(''));
  for (const name of names) utimesSync(model.at(name), day, day);
  const signed = await model.cli('manifests', 'sign', ...names.map((name) => model.at(name)), '--key', lead);
  expect([signed.exit, signed.json.signed.length]).toEqual([0, 6]);
  expect((await model.cli('manifests', 'trust', lead, '--name', 'J. Marl')).exit).toBe(0);
  expect((await model.cli('manifests', 'check')).json.verdict).toBe('sound');
});
afterAll(() => model.remove());

function trusting(): Laptop {
  const workspace = registerWorkspace();
  crew.push(workspace);
  rmSync(workspace.path, { recursive: true });
  cpSync(model.path, workspace.path, { recursive: true, preserveTimestamps: true });
  return opened(workspace);
}
function laptop(): Laptop {
  const made = trusting();
  rmSync(join(made.path, 'trusted-signers'));
  return made;
}
async function pack(from: Laptop) {
  packets += 1;
  const path = join(keys, `${packets}.packet`);
  return { path, json: (await from.cli('record', 'pack', path)).json };
}
const exchange = async () => {
  const { path } = await pack(a);
  return b.cli('record', 'take-in', path);
};
const text = (of: Laptop, name?: string) => readFileSync(of.at(name), 'utf8');
const change = (more: string, seconds: number) => {
  writeFileSync(a.at(), text(a) + more);
  utimesSync(a.at(), seconds, seconds);
};
const codes = (json: any) => json.findings.map(({ code, severity }: any) => `${severity} ${code}`);

beforeEach(() => {
  [a, b] = [laptop(), trusting()];
});
afterEach(() => {
  for (const each of crew) each.remove();
  crew = [];
});

test('signed by somebody trusted here: taken with its signature, and told by whom', async () => {
  change(withdrawn, day + 100);
  signByKeygen(lead, a.at());
  const { exit, json } = await exchange();
  expect([exit, json.manifests.replaced.length, json.manifests.trust]).toEqual([0, 1, 'on']);
  expect(json.manifests.signatures).toHaveLength(6);
  expect(json.manifests.signatures).toContainEqual({ manifest: release, verdict: 'signed', by: 'J. Marl' });
  expect([text(b), text(b, `${release}.sig`)]).toEqual([text(a), text(a, `${release}.sig`)]);
  expect((await b.cli('manifests', 'check')).json.verdict).toBe('sound');
});

const notTaken: [string, string, () => void][] = [
  ['not signed', 'warn unsigned', () => rmSync(`${a.at()}.sig`)],
  ['signed before it was changed', 'stop signature-bad', () => {}],
  ['signed by a stranger', 'stop signature-bad', () => signByKeygen(stranger, a.at())],
  [
    'signed for another purpose',
    'stop signature-bad',
    () => signByKeygen(lead, a.at(), { namespace: 'file' }),
  ],
];
test.each(notTaken)('%s: not taken, and told', async (_, code, plant) => {
  change('# newer\n', day + 100);
  plant();
  const before = text(b);
  const { exit, json } = await exchange();
  expect([exit, codes(json)]).toEqual([code.startsWith('stop') ? 3 : 0, [code]]);
  expect(json.manifests).toMatchObject({ notTaken: [release], replaced: [], added: [] });
  expect(text(b)).toBe(before);
});

test('a withdrawal that nobody trusted has signed is never passed over in silence', async () => {
  change(withdrawn, day + 100);
  rmSync(`${a.at()}.sig`);
  const { exit, json } = await exchange();
  expect([exit, codes(json)]).toEqual([3, ['warn unsigned', 'stop withdrawal-in-doubt']]);
  expect(json.findings[1].next).toContain('slotproof withdraw rill-40@4.2.0');
});

test('one that counts takes the place of one that does not, and brings the signature that was lacking', async () => {
  writeFileSync(b.at(), `${text(b)}# changed by somebody\n`);
  utimesSync(b.at(), day + 500, day + 500);
  rmSync(`${b.at('lume-2.yaml')}.sig`);
  expect((await b.cli('manifests', 'check')).json.verdict).toBe('unsound');
  const { json } = await exchange();
  expect([json.manifests.replaced.length, json.manifests.same]).toEqual([1, 5]);
  expect((await b.cli('manifests', 'check')).json.verdict).toBe('sound');
  // But no withdrawal is lifted so.
  writeFileSync(b.at(), `${text(b)}${withdrawn}`);
  expect((await exchange()).json.manifests.notTaken).toEqual([release]);
  expect(text(b)).toContain('withdrawn');
});

test('an older revision, well signed, is not passed off as news by its time', async () => {
  const name = 'rill-40.yaml';
  const revise = (of: Laptop, revision: number, seconds: number) => {
    writeFileSync(of.at(name), text(of, name).replace('name:', `revision: ${revision}\nname:`));
    signByKeygen(lead, of.at(name));
    utimesSync(of.at(name), seconds, seconds);
  };
  revise(a, 3, day + 200);
  revise(b, 4, day);
  const { exit, json } = await exchange();
  expect([exit, codes(json), json.manifests.notTaken]).toEqual([0, ['warn manifest-differs'], [name]]);
  expect(text(b, name)).toContain('revision: 4');
});

test('where trust is off nothing is verified, and that is said; a packet brings no trust', async () => {
  const c = laptop();
  const { path } = await pack(b);
  const { json } = await c.cli('record', 'take-in', path);
  expect(json.manifests).toMatchObject({ trust: 'off', signatures: [], same: 6 });
  expect(existsSync(join(c.path, 'trusted-signers'))).toBe(false);
  const told = await runCli(['record', 'take-in', path, '--as', 'R. Quill'], { workspace: c.path });
  expect(told.stdout).toContain('No signature of a manifest was verified: trust is off');
  const signers = readFileSync(join(b.path, 'trusted-signers'), 'utf8');
  const evil = join(keys, 'evil.packet');
  for (const name of ['../trusted-signers', 'trusted-signers', '../trusted-signers.yaml']) {
    writeFileSync(evil, packetText({ manifests: [manifestLine(name, 'x')] }));
    expect((await b.cli('record', 'take-in', evil)).json.findings[0].code).toBe('packet-unsound');
  }
  expect(readFileSync(join(b.path, 'trusted-signers'), 'utf8')).toBe(signers);
});

test('who packs what is not signed is told, where trust is on', async () => {
  rmSync(`${b.at()}.sig`);
  const { json } = await pack(b);
  expect(codes(json)).toEqual(['warn unsigned']);
  expect(json.manifests).toBe(6);
});
