// `npm run bench`: our commands as whole processes against public tools that do the same work, in one run,
// as ratios. Needs about 4 GB in the temporary folder. Asserts nothing: the figures are for people to read.
// One part alone: `npm run bench -- start`.

import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { compare } from './measure.js';

const home = join(import.meta.dirname, '..', '..');
const folder = mkdtempSync(join(tmpdir(), 'slotproof-bench-'));
process.env.SLOTPROOF_WORKSPACE = join(folder, 'workspace');
process.env.PATH = `${process.env.PATH}:/usr/sbin:/sbin`;
const tool = `${process.execPath} ${join(home, 'bin', 'slotproof.js')}`;
const node = `${process.execPath} -e 0`;

function sh(script) {
  const done = spawnSync('sh', ['-ec', script], { cwd: folder, encoding: 'utf8' });
  if (done.status !== 0) throw new Error(`${script}\n${done.stderr}`);
  return done.stdout;
}

/** The most memory that the command held at once, as the system counts it. */
function peakMegabytes(command) {
  const script = `import resource, subprocess, sys; subprocess.run(sys.argv[1], shell=True, stdout=subprocess.DEVNULL); print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss // 1024)`;
  return spawnSync('python3', ['-c', script, command], { cwd: folder, encoding: 'utf8' }).stdout.trim();
}

/** A product of the bench's own, whose one release is the file `name` of `bytes`. */
function manifests(name, bytes, capacity) {
  const sha256 = sh(`sha256sum ${name}`).slice(0, 64);
  sh(`mkdir -p workspace/manifests
cat > workspace/manifests/bench.yaml <<'YAML'
manifest: product
format: 1
id: bench
maker: Tarnholt
name: Bench rig
hazards: [mains-ac]
hardware: [A]
serial: { pattern: '^BN[0-9]{4}$', check: none }
versions: dotted
card: { fileSystems: [fat32], partitionTables: [mbr, none], capacity: ${capacity} }
lights: [{ id: lamp, label: LAMP, colour: white }]
patterns:
  - { id: done, means: Done, shows: { lamp: on } }
positions:
  card: { states: [out, in], starts: out, ends: out }
procedure:
  - { id: insert, do: Slide the card in, sets: { card: in } }
  - { id: look, watch: { done: take-out }, within: 5min, late: take-out-failed, unlisted: take-out-failed }
  - { id: take-out, do: Slide the card out, sets: { card: out } }
  - { id: finished, end: updated }
  - { id: take-out-failed, do: Slide the card out, sets: { card: out } }
  - { id: ended, end: failed }
YAML
cat > workspace/manifests/release.yaml <<'YAML'
manifest: release
format: 1
product: bench
version: 1.0.0
sequence: 1
issued: 2026-10-01
priority: required
hardware: [A]
image: { name: ${name}, bytes: ${bytes}, digests: { sha256: ${sha256} } }
YAML`);
}

const parts = {
  start() {
    compare('--version against node -e 0', { run: `${tool} --version` }, { run: node }, 1.15, 21);
    compare('--help against node -e 0', { run: `${tool} --help` }, { run: node }, 1.3, 21);
  },

  verify() {
    sh('head -c 1073741824 /dev/urandom > GIB.BIN');
    manifests('GIB.BIN', 1073741824, '{ min: 1GB, max: 32GB }');
    const ours = { run: `${tool} verify ${folder}/GIB.BIN` };
    compare('verify of 1 GiB against sha256sum', ours, { run: `sha256sum ${folder}/GIB.BIN` }, 0.3, 5);
    compare(
      'verify of 1 GiB against openssl dgst',
      ours,
      { run: `openssl dgst -sha256 ${folder}/GIB.BIN` },
      1.15,
      5,
    );
    sh('rm GIB.BIN');
  },

  check() {
    // 29 GB with clusters of 4 KiB: over seven million clusters, two FATs of 28 MB each.
    sh('rm -f big.img; truncate -s 29000000000 big.img; mkfs.fat -F 32 -s 8 big.img >/dev/null');
    sh(
      'head -c 3000000 /dev/urandom > some; mcopy -i big.img some ::SOME.BIN; mmd -i big.img ::LOGS; mcopy -i big.img some ::LOGS/A.TXT',
    );
    const theirs = { run: `fsck.fat -n ${folder}/big.img` };
    compare(
      'check of a sparse 29 GB card against fsck.fat -n',
      { run: `${tool} check ${folder}/big.img` },
      theirs,
      0.9,
    );
    sh('rm big.img some');
  },

  prepare() {
    sh('head -c 536870912 /dev/urandom > HALF.BIN');
    manifests('HALF.BIN', 536870912, '{ min: 1GB, max: 32GB }');
    sh('truncate -s 2000000000 blank.img; mkfs.fat -F 32 -s 8 blank.img >/dev/null; mkdir target');
    const card = `${folder}/card.img`;
    const prepared = (source) => ({
      before: `cp --sparse=always ${folder}/blank.img ${card}; sync ${card}`,
      run: `${tool} prepare ${card} --for bench@1.0.0 ${source} --confirm ${card} --as bench --no-input`,
    });
    const copy = `${folder}/target/HALF.BIN`;
    const theirs = {
      before: `rm -f ${copy}; sync ${folder}`,
      run: `cp ${folder}/HALF.BIN ${copy} && sync ${copy} && cmp ${folder}/HALF.BIN ${copy}`,
    };
    // A download that nobody has verified yet is digested once more than one that was.
    compare(
      'prepare of a 512 MiB image, not verified before, against cp, sync and cmp',
      prepared(`--from ${folder}/HALF.BIN`),
      theirs,
      1.2,
      7,
    );
    sh(`sleep 3; ${tool} verify ${folder}/HALF.BIN`);
    compare(
      'prepare of a 512 MiB image, verified before, against cp, sync and cmp',
      prepared(''),
      theirs,
      1.2,
      7,
    );
  },

  // On a card image file: a disk of this computer is ten to fifty times faster than any card, so what is worked out (our
  // start, a SHA-256 of all that is read back, the entry) counts for that much more here. dd's read proves nothing by
  // itself, so the second pair has it digested, too. A card image file is read back through the computer's memory, dd
  // reads past it: that is in our favour, by the time in which this disk gives 256 MiB.
  fresh() {
    sh('head -c 268435456 /dev/urandom > QUARTER.BIN');
    manifests('QUARTER.BIN', 268435456, '{ min: 1GB, max: 32GB }');
    sh(`sleep 3; ${tool} verify ${folder}/QUARTER.BIN; truncate -s 2000000000 blank.img`);
    const card = `${folder}/card.img`;
    const before = `cp --sparse=always ${folder}/blank.img ${card}; sync ${card}`;
    const ours = {
      before,
      run: `${tool} prepare ${card} --for bench@1.0.0 --fresh --confirm ${card} --as bench --no-input`,
    };
    const write = `dd if=${folder}/QUARTER.BIN of=${card} bs=1M seek=16 conv=notrunc,fsync`;
    const read = `dd if=${card} bs=1M skip=16 count=256 iflag=direct`;
    const title = 'prepare --fresh of 256 MiB against dd with fsync and a direct read of the same bytes';
    compare(title, ours, { before, run: `${write} && ${read} of=/dev/null` }, 1.15, 11);
    const digested = { before, run: `${write} && ${read} | openssl dgst -sha256` };
    compare(`${title}, digested`, ours, digested, 1.15, 11);
    sh('rm QUARTER.BIN blank.img card.img');
  },

  capacity() {
    sh('truncate -s 4000000000 claims.img; mkfs.fat -F 32 -s 64 claims.img >/dev/null; sync claims.img');
    const card = `${folder}/claims.img`;
    compare(
      'test-card, 5 % of 4 GB, against a full write and read of as many bytes as the card has',
      { run: `${tool} test-card ${card} --again --confirm ${card}` },
      {
        run: `dd if=/dev/zero of=${folder}/all.bin bs=1M count=3814 conv=fsync && dd if=${folder}/all.bin of=/dev/null bs=1M`,
      },
      1,
      3,
    );
    sh('rm claims.img all.bin');
  },

  record() {
    const count = process.env.SLOTPROOF_BENCH_ENTRIES ?? '1000000';
    sh(`ln -sfn ${home}/node_modules node_modules; mkdir -p workspace`);
    const bundle = `--bundle --platform=node --format=esm --log-level=error --external:better-sqlite3 --outfile=${folder}/fill.mjs`;
    sh(`${home}/node_modules/.bin/esbuild ${home}/tests/bench/fill-record.ts ${bundle}`);
    sh(`${process.execPath} fill.mjs ${folder}/workspace/record.db ${count}`);
    sh("sqlite3 workspace/record.db 'SELECT text FROM entries' > texts");
    const check = `${tool} record check`;
    compare(
      `record check of ${count} entries against sha256sum of their text`,
      { run: check },
      { run: `sha256sum ${folder}/texts` },
      4,
      3,
    );
    console.log(`  peak memory ${peakMegabytes(check)} MB; goal 300 or less`);
    sh('rm -rf workspace texts');
    manifests(
      'SMALL.BIN',
      sh('head -c 4096 /dev/urandom > SMALL.BIN') === '' ? 4096 : 0,
      '{ min: 1GB, max: 32GB }',
    );
    sh(`${tool} units add BN0001 --site Alder --hardware A --as bench`);
    compare(
      'one log as a whole process against node -e 0',
      { run: `${tool} log BN0001 note --note x --as bench` },
      { run: node },
      2.5,
      21,
    );
  },

  import() {
    const count = Number(process.env.SLOTPROOF_BENCH_ENTRIES ?? 1_000_000);
    manifests(
      'SMALL.BIN',
      sh('head -c 4096 /dev/urandom > SMALL.BIN') === '' ? 4096 : 0,
      '{ min: 1GB, max: 32GB }',
    );
    sh("sed -i 's/BN\\[0-9\\]{4}/BN[0-9]{7}/' workspace/manifests/bench.yaml");
    sh(
      `awk 'BEGIN { print "serial,site,product,hardware,version"; for (i = 0; i < ${count}; i++) printf "BN%07d,Farm %d,bench,A,1.%d.0\\n", i, i % 5000, i % 7 }' > units.csv`,
    );
    const ours = {
      before: `rm -f ${folder}/workspace/record.db*`,
      run: `${tool} units import ${folder}/units.csv --as bench`,
    };
    const theirs = {
      before: `rm -f ${folder}/t.db`,
      run: `sqlite3 ${folder}/t.db -cmd '.mode csv' '.import ${folder}/units.csv units'`,
    };
    compare(`units import of ${count} units against sqlite3 .import`, ours, theirs, 4, 3);
    sh(`rm -f workspace/record.db*`);
    console.log(`  peak memory ${peakMegabytes(ours.run)} MB; goal 300 or less`);
  },

  gaps() {
    const bundle = `--bundle --platform=node --format=esm --log-level=error --outfile=${folder}/gaps.mjs`;
    sh(`${home}/node_modules/.bin/esbuild ${home}/tests/bench/gaps.ts ${bundle}`);
    console.log(sh(`${process.execPath} ${folder}/gaps.mjs`).trimEnd());
  },

  packets() {
    sh(`ln -sfn ${home}/node_modules node_modules`);
    const bundle = `--bundle --platform=node --format=cjs --external:better-sqlite3 --log-level=error --outfile=${folder}/packets.cjs`;
    sh(`${home}/node_modules/.bin/esbuild ${home}/tests/bench/packets.ts ${bundle}`);
    const script = `${process.execPath} ${folder}/packets.cjs`;
    const workspace = `${folder}/taken`;
    const takeIn = (packet) => `${tool} record take-in ${folder}/${packet} --workspace ${workspace}`;
    sh(`${script} make 100k.packet 100000`);
    const ours = { before: `rm -rf ${workspace}`, run: takeIn('100k.packet') };
    // Half the rate or better is twice the time or less.
    const loop = (how) => ({ run: `${script} ${how} ${folder}/100k.packet ${folder}/loop.db` });
    const title = 'take-in of 100,000 entries against a plain loop that inserts them';
    compare(`${title}, in one transaction`, ours, loop('in-one'), 2, 5);
    compare(`${title}, each by itself`, ours, loop('each'), 2, 3);
    for (const [packet, count] of [
      ['100k.packet', 100_000],
      ['400k.packet', 400_000],
    ]) {
      if (packet !== '100k.packet') sh(`${script} make ${packet} ${count}`);
      sh(`rm -rf ${workspace}`);
      console.log(
        `take-in of ${count} entries: at most ${peakMegabytes(takeIn(packet))} MB; goal 300 or less`,
      );
      const pack = `${tool} record pack ${folder}/out.packet --workspace ${workspace}`;
      console.log(`pack of ${count} entries: at most ${peakMegabytes(pack)} MB; goal 300 or less`);
      sh('rm out.packet');
    }
    sh('rm -rf taken 400k.packet 100k.packet loop.db*');
  },

  forms() {
    sh(`ln -sfn ${home}/node_modules node_modules`);
    const bundle = `--bundle --minify --platform=node --format=cjs --supported:dynamic-import=false --define:import.meta.url=__filename --log-level=error --external:pdfkit --external:fontkit --external:yaml --external:zod --out-extension:.js=.cjs --outdir=${folder}/forms`;
    sh(`${home}/node_modules/.bin/esbuild ${home}/tests/bench/sheet-forms.ts ${bundle}`);
    const drawn = `${process.execPath} ${folder}/forms/sheet-forms.cjs`;
    sh(`${drawn} view ${folder}/view.json ${home}/manifests/tarnholt`);
    const pdfkit = `${process.execPath} --input-type=module -e "import 'pdfkit'"`;
    compare(
      "a sheet in all four forms against three starts of node and pdfkit's own import",
      { run: `${drawn} ${folder}/view.json ${home}/dist/pocket-page.json` },
      { run: `cd ${folder}; ${node}; ${node}; ${pdfkit}` },
      1,
      11,
    );
  },
};

const wanted = process.argv.slice(2);
try {
  for (const [name, run] of Object.entries(parts)) {
    if (wanted.length === 0 || wanted.includes(name)) run();
  }
} finally {
  rmSync(folder, { recursive: true, force: true });
}
