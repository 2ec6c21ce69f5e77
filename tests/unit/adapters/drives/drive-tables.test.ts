// What the systems' own tools print, read: made up in the public format of each, with the oddities that each is known
// for. Nothing of a table is believed without being looked at: a broken one is a failure, never an empty list.

import { describe, expect, test } from 'vitest';
import { disksIn, readDiskutil } from '../../../../src/adapters/drives/diskutil-table.ts';
import { readLsblk } from '../../../../src/adapters/drives/lsblk-table.ts';
import { readPlist } from '../../../../src/adapters/drives/plist.ts';
import { withSecondOpinion } from '../../../../src/adapters/drives/second-opinion.ts';
import { readWindowsDisks } from '../../../../src/adapters/drives/windows-table.ts';
import { macInfo, macTexts, plistText, windowsText } from '../../../support/drive-texts.ts';
import { failureOf } from '../../../support/failure-of.ts';

describe('lsblk', () => {
  // As a Linux 6.1 with util-linux 2.38 prints a card in a built-in slot.
  const slot = `{"blockdevices": [{"name":"mmcblk0","kname":"mmcblk0","path":"/dev/mmcblk0","type":"disk","size":67108864,
    "ro":false,"rm":false,"hotplug":true,"tran":null,"subsystems":"block:mmc:mmc_host:pci","vendor":null,"model":null,
    "serial":"0xdeadbeef","fstype":"vfat","fsver":"FAT16","label":"CARD","uuid":"2FB9-F72F","pttype":null,"ptuuid":null,
    "log-sec":512,"mountpoints":["/mnt/c"]}]}`;

  test('finds a card in a built-in slot, although RM is 0 and TRAN null', () => {
    expect(readLsblk(slot).drives).toEqual([
      {
        device: '/dev/mmcblk0',
        sizeBytes: 67_108_864,
        sectorBytes: 512,
        bus: 'mmc',
        model: null,
        serial: '0xdeadbeef',
        readOnly: false,
        removable: false,
        hotplug: true,
        soldered: false,
        isSystem: false,
        holdsSystemPath: false,
        carries: [],
        partitionTable: null,
        tableId: null,
        parts: [
          {
            device: '/dev/mmcblk0',
            sizeBytes: 67_108_864,
            fileSystem: 'fat16',
            label: 'CARD',
            volumeId: '2FB9-F72F',
            mountPoints: ['/mnt/c'],
          },
        ],
      },
    ]);
  });

  test('reads the numbers and flags of an older one, which prints them as texts', () => {
    const older = slot
      .replaceAll('67108864', '"67108864"')
      .replaceAll('false', '"0"')
      .replaceAll('true', '"1"')
      .replace('"mountpoints":["/mnt/c"]', '"mountpoint":"/mnt/c"');
    expect(readLsblk(older)).toEqual(readLsblk(slot));
  });

  test.each(['', 'no', '[]', '{}', '{"blockdevices":7}', 'null', slot.slice(0, -3)])(
    'refuses %j',
    (printed) => {
      expect(failureOf(() => readLsblk(printed))).toMatchObject({ code: 'drives-unknown', exit: 6 });
    },
  );

  test('is not led astray by depth or by what is no drive', () => {
    const deep = `${'{"name":"a","children":['.repeat(40)}${']}'.repeat(40)}`;
    expect(failureOf(() => readLsblk(`{"blockdevices":[${deep}]}`))).toMatchObject({
      code: 'drives-unknown',
    });
    expect(readLsblk('{"blockdevices":[null, 7, "x", []]}').drives).toEqual([]);
  });
});

describe('diskutil', () => {
  const texts = macTexts({
    name: 'disk4',
    size: 16e9,
    parts: [{ content: 'Windows_FAT_32', at: '/Volumes/CARD', label: 'A & <B>', uuid: 'U-1' }],
    info: macInfo.slot,
  });

  test('reads a card in the slot of the computer', () => {
    expect(readDiskutil(texts.listed, texts.infos).drives[0]).toMatchObject({
      device: '/dev/disk4',
      sizeBytes: 16e9,
      bus: 'mmc',
      model: 'Built In SDXC Reader',
      hotplug: true,
      soldered: false,
      partitionTable: 'dos',
      holdsSystemPath: false,
      parts: [
        {
          device: '/dev/disk4s1',
          fileSystem: 'fat32',
          label: 'A & <B>',
          volumeId: 'U-1',
          mountPoints: ['/Volumes/CARD'],
        },
      ],
    });
  });

  test('names what is to be asked about, and nothing else', () => {
    expect(disksIn(texts.listed)).toEqual(['disk4', 'disk4s1']);
    const hostile = texts.listed.replaceAll('<string>disk4</string>', '<string>disk4; rm -r /</string>');
    expect(disksIn(hostile)).toEqual(['disk4s1']);
  });

  test.each(['', '<plist/>', plistText([]), plistText({}), plistText('x'), texts.listed.slice(0, 400)])(
    'refuses %j',
    (printed) => {
      expect(failureOf(() => readDiskutil(printed, new Map()))).toMatchObject({
        code: 'drives-unknown',
        exit: 6,
      });
    },
  );
});

describe('property lists', () => {
  test('have all kinds of values', () => {
    const value = { text: 'a&b', number: 7, yes: true, no: false, list: [1, ['x'], []], none: {} };
    expect(readPlist(plistText(value))).toEqual(value);
    expect(readPlist('<plist version="1.0"><string>&#65;&#x42;&unknown;</string></plist>')).toBe(
      'AB&unknown;',
    );
    expect(readPlist('<plist><dict><key>__proto__</key><string>x</string></dict></plist>')).toHaveProperty(
      '__proto__',
      'x',
    );
  });

  test.each([
    '<plist><dict><string>x</string></dict></plist>',
    '<plist><dict><key>a</key></dict></plist>',
    '<plist><array></dict></plist>',
    '<plist><integer>x</integer></plist>',
    '<plist><thing/></plist>',
    `<plist>${'<array>'.repeat(100)}${'</array>'.repeat(100)}</plist>`,
    '<plist><array>',
    '<array/>',
  ])('refuses %s', (xml) => {
    expect(() => readPlist(xml)).toThrow(SyntaxError);
  });
});

describe('PowerShell', () => {
  const text = windowsText([
    { n: 0, bus: 'NVMe', boot: true, parts: [{ letter: 'C', fs: 'NTFS', kind: 'Fixed' }] },
    { n: 1, bus: 12, name: 'SDHC Card', parts: [{ letter: 'E', label: 'CARD' }] },
  ]);

  test('reads a card in the slot of the computer', () => {
    expect(readWindowsDisks(`\uFEFF${text}`).drives[1]).toMatchObject({
      device: '\\\\.\\PHYSICALDRIVE1',
      bus: 'mmc',
      model: 'SDHC Card',
      removable: true,
      soldered: false,
      isSystem: false,
      holdsSystemPath: false,
      tableId: '77',
      parts: [
        {
          device: '\\\\.\\E:',
          fileSystem: 'fat32',
          label: 'CARD',
          volumeId: '1A2B3C4D',
          mountPoints: ['E:\\'],
        },
      ],
    });
  });

  test('a list of one, which comes as the one itself, is a list', () => {
    const { disks, partitions, ...rest } = JSON.parse(text);
    const one = JSON.stringify({ ...rest, disks: disks[1], partitions: partitions[1] });
    expect(readWindowsDisks(one).drives).toEqual([readWindowsDisks(text).drives[1]]);
  });

  test('a letter may come as a number', () => {
    const said = JSON.parse(text);
    for (const row of said.partitions) row.DriveLetter = row.DriveLetter.charCodeAt(0);
    expect(readWindowsDisks(JSON.stringify(said))).toEqual(readWindowsDisks(text));
  });

  test.each(['', '{}', '{"disks":[]}', 'null', 'Get-Disk : access denied'])('refuses %j', (printed) => {
    expect(failureOf(() => readWindowsDisks(printed))).toMatchObject({ code: 'drives-unknown', exit: 6 });
  });
});

test('a second opinion only ever adds doubt', () => {
  const table = readLsblk(
    '{"blockdevices":[{"name":"sdb","path":"/dev/sdb","type":"disk","size":1000,"tran":"usb","ro":true}]}',
  );
  const same = withSecondOpinion(table, [{ device: '/dev/sdb', isSystem: false, isReadOnly: false }]);
  expect(same).toEqual(table);
  expect(withSecondOpinion(table, [{ device: '/dev/sdb', isSystem: true }]).drives[0]?.isSystem).toBe(true);
  for (const odd of [undefined, null, 7, [null], [{ device: 7 }]])
    expect(withSecondOpinion(table, odd)).toEqual(table);
});
