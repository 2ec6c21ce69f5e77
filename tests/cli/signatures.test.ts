// Signed manifests by the command line: signing, trusting, and what every command makes of a manifest that is not signed, or
// not by somebody trusted. ssh-keygen signs and verifies beside us.

import { spawn } from 'node:child_process';
import {
  appendFileSync,
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { demoDownload } from '../../src/manifest/demo-firmware.ts';
import { makeDemoWorkspace } from '../support/demo-workspace.ts';
import { demoCatalogue } from '../support/demo-world.ts';
import { runCli } from '../support/run-cli.ts';
import {
  fingerprintOf,
  holdsForKeygen,
  makeKey,
  signByKeygen,
  verifiedByKeygen,
} from '../support/ssh-keys.ts';

const { folder, workspace: origin } = makeDemoWorkspace();
afterAll(() => rmSync(folder, { recursive: true }));
const lead = makeKey(folder, 'ed25519', 'lead');
const stranger = makeKey(folder, 'ed25519', 'stranger');
const locked = makeKey(folder, 'ed25519', 'locked', 'a passphrase');
const download = join(folder, 'hearth.zip');
const card = join(folder, 'card.img');
const inFolder = (root: string, name: string) => join(root, 'manifests', 'tarnholt', name);
const all = (root: string) =>
  readdirSync(join(root, 'manifests', 'tarnholt'))
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => inFolder(root, name));

let count = 0;
let workspace = '';
const at = (name: string) => inFolder(workspace, name);
const trusted = () => join(workspace, 'trusted-signers');
const run = (...args: string[]) => runCli([...args, '--json'], { workspace });
const codes = (json: any) => json.findings.map(({ code }: any) => code);
const change = (name: string, from: string, to: string) => {
  const text = readFileSync(at(name), 'utf8');
  expect(text).toContain(from);
  writeFileSync(at(name), text.replace(from, to));
};

/** All signed by the lead, who is trusted. Copied for each test. */
const signedWorkspace = join(folder, 'signed');
beforeAll(async () => {
  const release = demoCatalogue().releases.find(({ version }) => version === '2.6.0');
  if (release === undefined) throw new Error('the demo has changed');
  writeFileSync(download, demoDownload(release).bytes);
  cpSync(origin, signedWorkspace, { recursive: true });
  const options = { workspace: signedWorkspace };
  const signed = await runCli(
    ['manifests', 'sign', ...all(signedWorkspace), '--key', lead, '--json'],
    options,
  );
  expect([signed.exit, signed.json.signed.length]).toEqual([0, 13]);
  const trust = await runCli(['manifests', 'trust', `${lead}.pub`, '--name', 'J. Marl', '--json'], options);
  expect([trust.exit, trust.json.verdict, trust.json.switchedOn]).toEqual([0, 'sound', true]);
});
beforeEach(() => {
  count += 1;
  workspace = join(folder, `workspace-${count}`);
  cpSync(signedWorkspace, workspace, { recursive: true });
});

describe('sign', () => {
  test('ssh-keygen verifies it, by the very list of trusted signers', () => {
    const file = at('hearth-90.yaml');
    const message = readFileSync(file);
    const asked = { allowed: readFileSync(trusted(), 'utf8'), message, sig: `${file}.sig` };
    expect(verifiedByKeygen(folder, { ...asked, principal: 'J. Marl' })).toBe(true);
    expect(verifiedByKeygen(folder, { ...asked, principal: 'R. Quill' })).toBe(false);
    expect(holdsForKeygen(Buffer.concat([message, Buffer.from(' ')]), `${file}.sig`)).toBe(false);
    expect(statSync(`${file}.sig`).mode & 0o077).toBe(0);
  });

  test('an unsound manifest is told and not signed', async () => {
    change('hearth-90-2.6.0.yaml', 'sequence:', 'sequense:');
    const before = readFileSync(at('hearth-90-2.6.0.yaml.sig'), 'utf8');
    const { exit, json } = await run('manifests', 'sign', at('hearth-90-2.6.0.yaml'), '--key', lead);
    expect([exit, json.verdict, codes(json)]).toEqual([3, 'unsound', ['schema', 'unknown-key']]);
    expect(readFileSync(at('hearth-90-2.6.0.yaml.sig'), 'utf8')).toBe(before);
  });

  test('anew, after a change: said, and it counts again', async () => {
    change('hearth-90-2.6.0.yaml', 'notes:', 'notes: Signed anew.');
    const { json } = await run('manifests', 'sign', at('hearth-90-2.6.0.yaml'), '--key', lead);
    expect([json.verdict, codes(json), json.trust]).toEqual(['sound', ['signature-replaced'], 'on']);
    expect((await run('manifests', 'check')).json.verdict).toBe('sound');
  });

  test('by a key that is not trusted here: done, and said', async () => {
    const { exit, json } = await run('manifests', 'sign', at('kerb-22.yaml'), '--key', stranger);
    expect([exit, codes(json), json.fingerprint]).toEqual([
      0,
      ['signature-replaced', 'signature-bad'],
      fingerprintOf(stranger),
    ]);
  });

  test('a key under a passphrase leads to ssh-keygen, or is used through ssh-agent', async () => {
    const { exit, json } = await run('manifests', 'sign', at('kerb-22.yaml'), '--key', locked);
    expect([exit, json.error.code]).toEqual([2, 'key-locked']);
    expect(json.error.next).toContain(
      `ssh-keygen -Y sign -n slotproof-manifest -f ${locked} ${at('kerb-22.yaml')}`,
    );
    const socket = join(folder, 'agent');
    const agent = spawn('ssh-agent', ['-D', '-a', socket], { stdio: 'ignore' });
    try {
      while (!existsSync(socket)) await new Promise((resolve) => setTimeout(resolve, 5));
      const env = { SSH_AUTH_SOCK: socket };
      const withAgent = (key: string) =>
        runCli(['manifests', 'sign', at('kerb-22.yaml'), '--key', key, '--json'], { workspace, env });
      expect((await withAgent(`${lead}.pub`)).json.error.code).toBe('key-locked');
      const added = spawn('ssh-add', ['-q', lead], { env: { ...process.env, ...env }, stdio: 'ignore' });
      await new Promise((resolve) => added.on('close', resolve));
      rmSync(`${at('kerb-22.yaml')}.sig`);
      expect((await withAgent(`${lead}.pub`)).json).toMatchObject({ verdict: 'sound', findings: [] });
      expect(holdsForKeygen(readFileSync(at('kerb-22.yaml')), `${at('kerb-22.yaml')}.sig`)).toBe(true);
    } finally {
      agent.kill();
    }
  });

  test('what is no key, no file, no manifest', async () => {
    const sign = async (...args: string[]) => (await run('manifests', 'sign', ...args)).json.error?.code;
    expect(await sign(at('kerb-22.yaml'), '--key', at('kerb-22.yaml'))).toBe('key-unfit');
    expect(await sign(at('kerb-22.yaml'), '--key', join(folder, 'none'))).toBe('file-absent');
    expect(await sign(join(folder, 'none.yaml'), '--key', lead)).toBe('file-absent');
    expect(await sign(workspace, '--key', lead)).toBe('not-a-file');
    expect(await sign(at('kerb-22.yaml'))).toBe('answer-missing');
  });
});

describe('trust', () => {
  test('who is trusted, a second one, and distrust', async () => {
    const trust = (...args: string[]) => run('manifests', 'trust', ...args);
    expect((await trust()).json).toMatchObject({
      trust: 'on',
      signers: [{ name: 'J. Marl', fingerprint: fingerprintOf(lead), namespaces: 'slotproof-manifest' }],
    });
    expect((await trust(`${lead}.pub`, '--name', 'Other')).json.error.code).toBe('signer-known');
    expect((await trust(stranger, '--name', 'j. marl')).json.error.code).toBe('signer-known');
    expect((await trust(stranger, '--name', 'a,b')).json.error.code).toBe('text-unfit');
    expect((await trust(stranger, '--name', '*')).json.error.code).toBe('text-unfit');
    const wrong = await trust(stranger, '--name', 'Second', '--confirm', fingerprintOf(lead));
    expect([wrong.exit, wrong.json.error.code]).toEqual([5, 'not-confirmed']);
    appendFileSync(trusted(), '# kept as it is');
    const second = await trust(stranger, '--name', 'Second', '--confirm', fingerprintOf(stranger));
    expect([second.exit, second.json.switchedOn, second.json.signers.length]).toEqual([0, false, 2]);
    expect(readFileSync(trusted(), 'utf8')).toContain('\n# kept as it is\nSecond namespaces=');
    const gone = await run('manifests', 'distrust', 'J. Marl');
    expect(gone.json).toMatchObject({
      trust: 'on',
      removed: [{ name: 'J. Marl' }],
      signers: [{ name: 'Second' }],
    });
    expect((await run('manifests', 'check')).json).toMatchObject({ verdict: 'unsound', products: 0 });
    expect((await run('manifests', 'distrust', fingerprintOf(stranger))).json.signers).toEqual([]);
    // Nobody is left, and that trusts nobody: it does not switch trust off.
    expect((await run('manifests', 'check')).json).toMatchObject({ trust: 'on', products: 0 });
    expect((await run('manifests', 'distrust', 'J. Marl')).json.error.code).toBe('signer-unknown');
  });

  test('off without the file; the text says so', async () => {
    rmSync(trusted());
    expect((await run('manifests', 'trust')).json).toMatchObject({ trust: 'off', signers: [] });
    writeFileSync(`${at('kerb-22.yaml')}.sig`, 'nonsense');
    expect((await run('manifests', 'check')).json).toMatchObject({ verdict: 'sound', trust: 'off' });
  });

  test('what cannot be read trusts nobody, and never switches trust off', async () => {
    for (const plant of [
      () => writeFileSync(trusted(), ''),
      () => writeFileSync(trusted(), Buffer.of(0xff, 0xfe)),
      () => mkdirSync(trusted()),
      () => symlinkSync(join(folder, 'nowhere'), trusted()),
    ]) {
      rmSync(trusted(), { recursive: true });
      plant();
      const { exit, json } = await run('manifests', 'check');
      expect([exit, json.trust, json.products, codes(json).includes('signature-bad')]).toEqual([
        3,
        'on',
        0,
        true,
      ]);
    }
  });
});

describe('every command', () => {
  test('signed by somebody trusted: as ever', async () => {
    expect((await run('manifests', 'check')).json).toMatchObject({
      verdict: 'sound',
      findings: [],
      products: 3,
    });
    expect((await run('manifests', 'check')).json.signedBy).toHaveLength(13);
    const { json, stderr } = await run('verify', download);
    expect([json.verdict, stderr]).toEqual(['matches', '']);
    signByKeygen(lead, at('kerb-22.yaml'), { hash: 'sha256' });
    expect((await run('manifests', 'check')).json.verdict).toBe('sound');
  });

  const plants: [string, 'unsigned' | 'signature-bad', () => void][] = [
    ['no signature', 'unsigned', () => rmSync(`${at('hearth-90.yaml')}.sig`)],
    ['one byte more', 'signature-bad', () => appendFileSync(at('hearth-90.yaml'), ' ')],
    ['another line end', 'signature-bad', () => change('hearth-90.yaml', '\n', '\r\n')],
    [
      'the signature of another manifest',
      'signature-bad',
      () => cpSync(`${at('kerb-22.yaml')}.sig`, `${at('hearth-90.yaml')}.sig`),
    ],
    ["a stranger's key", 'signature-bad', () => signByKeygen(stranger, at('hearth-90.yaml'))],
    [
      'another namespace',
      'signature-bad',
      () => signByKeygen(lead, at('hearth-90.yaml'), { namespace: 'file' }),
    ],
    ['an empty signature', 'signature-bad', () => writeFileSync(`${at('hearth-90.yaml')}.sig`, '')],
    [
      'a folder in its place',
      'signature-bad',
      () => {
        rmSync(`${at('hearth-90.yaml')}.sig`);
        mkdirSync(`${at('hearth-90.yaml')}.sig`);
      },
    ],
  ];
  test.each(plants)('%s: refused by check and verify', async (_, code, plant) => {
    expect((await run('verify', download)).json.verdict).toBe('matches');
    plant();
    const { exit, json } = await run('manifests', 'check');
    expect([exit, json.verdict, codes(json).filter((one: string) => one === code)]).toEqual([
      3,
      'unsound',
      [code],
    ]);
    expect(json.findings.find((one: any) => one.code === code).where).toBe(at('hearth-90.yaml'));
    const verify = await run('verify', download);
    expect([verify.exit, verify.json.verdict]).toEqual([3, 'unknown']);
    expect(codes(verify.json)).toContain(code);
  });

  test('prepare, sheet and withdraw refuse, and audit says so', async () => {
    rmSync(`${at('hearth-90.yaml')}.sig`);
    const error = async (...args: string[]) => {
      const { exit, json, stderr } = await run(...args, '--as', 'R. Quill');
      expect(stderr).toContain('1 manifest is not used, for want of a signature by somebody trusted');
      return [exit, json.error?.code, json.error?.where];
    };
    const refused = [2, 'unsigned', at('hearth-90.yaml')];
    const [from, size] = [
      ['--from', download],
      ['--fresh', '--size', '4GB'],
    ];
    expect(await error('prepare', card, '--for', 'hearth-90@2.6.0', ...from, ...size)).toEqual(refused);
    expect(existsSync(card)).toBe(false);
    expect(await error('sheet', 'hearth-90')).toEqual(refused);
    expect(await error('withdraw', 'hearth-90@2.6.0', '--why', 'x')).toEqual(refused);
    const audit = await run('audit');
    expect(codes(audit.json)).toContain('manifests-unsound');
  });

  test('validity is asked anew each time', async () => {
    expect((await run('verify', download)).json.verdict).toBe('matches');
    const line = readFileSync(trusted(), 'utf8');
    writeFileSync(trusted(), line.replace('namespaces=', 'valid-before="20200101",namespaces='));
    expect((await run('verify', download)).json.verdict).toBe('unknown');
    writeFileSync(trusted(), line.replace('namespaces=', 'valid-before="20990101",namespaces='));
    expect((await run('verify', download)).json.verdict).toBe('matches');
  });

  test('a draft may be looked into before it is signed, and is not used', async () => {
    const draft = join(workspace, 'draft.yaml');
    writeFileSync(
      draft,
      readFileSync(at('kerb-22-126.yaml'), 'utf8')
        .replace('126', '130')
        .replace('sequence: 24', 'sequence: 30'),
    );
    expect(codes((await run('manifests', 'check', draft)).json)).toEqual(['unsigned']);
    expect((await run('manifests', 'check', '--draft', draft)).json).toMatchObject({
      verdict: 'sound',
      releases: 1,
    });
  });
});

describe('a withdrawal that is not signed', () => {
  const withdrawn = 'withdrawn: { on: 2026-11-02, why: It does not restart, doThis: Call the helpline }\n';

  test('beside the signed release: stopped in doubt, until it is settled', async () => {
    writeFileSync(at('stop.yaml'), `${readFileSync(at('hearth-90-2.6.0.yaml'), 'utf8')}${withdrawn}`);
    const { json, stderr } = await run('verify', download);
    const stops = json.findings.filter(({ severity }: any) => severity === 'stop');
    expect([json.verdict, codes({ findings: stops })]).toEqual(['differs', ['withdrawn']]);
    expect(stderr).toContain('STOPPED in doubt: hearth-90@2.6.0.');
    const prepared = await run(
      ...['prepare', card, '--for', 'hearth-90@2.6.0', '--from', download, '--fresh', '--size', '4GB'],
      ...['--as', 'R. Quill'],
    );
    expect(prepared.exit).toBe(3);
    expect(codes(prepared.json)).toContain('withdrawn');
    // Others are not touched by it.
    expect((await run('sheet', 'kerb-22@126', '--as', 'R. Quill')).exit).toBe(0);
    renameSync(at('stop.yaml'), join(folder, 'stop.yaml'));
    expect((await run('verify', download)).json.verdict).toBe('matches');
  });

  test('the newest of a product is not sure where one of its manifests is not trusted', async () => {
    rmSync(`${at('hearth-90-2.6.0.yaml')}.sig`);
    const { exit, json } = await run('check', card, '--for', 'hearth-90');
    expect([exit, json.error.code, json.error.where]).toEqual([2, 'unsigned', at('hearth-90-2.6.0.yaml')]);
    expect(json.error.next).toContain('name it: hearth-90@2.5.0');
  });

  test('in its own file: the release is not known at all, and every command says why', async () => {
    appendFileSync(at('hearth-90-2.6.0.yaml'), withdrawn);
    const { json } = await run('verify', download);
    expect([json.verdict, codes(json)]).toEqual(['differs', expect.arrayContaining(['signature-bad'])]);
    const sheet = await run('sheet', 'hearth-90@2.6.0', '--as', 'R. Quill');
    expect([sheet.exit, sheet.json.error.code]).toEqual([2, 'signature-bad']);
  });
});
