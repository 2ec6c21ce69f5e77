// The structural rules of a product: names that resolve, ids that are unique, values that agree with each
// other, and warnings for what ought to be there. It does not walk the procedure: whether every way through
// it is sound is the check for gaps, which has its own place.

import { RE2JS } from 're2js';
import { printable } from '../words/printable.ts';
import { type Fault, type Path, stop, twins, unknownName } from './fault.ts';
import { lintHazards } from './lint-hazards.ts';
import { lintOncePerSite } from './lint-once-per-site.ts';
import { lintPlacing } from './lint-placing.ts';
import { lintResultFile } from './lint-result-file.ts';
import { lintSteps } from './lint-steps.ts';
import { type LightShow, type Product, reservedLightNames } from './schema.ts';

export function lintProduct(product: Product): Fault[] {
  return [
    ...lintUnique(product),
    ...lintSerial(product),
    ...lintCard(product),
    ...lintResultFile(product),
    ...lintLights(product),
    ...lintPositions(product),
    ...lintSteps(product),
    ...lintWanted(product),
    ...lintHazards(product),
    ...lintOncePerSite(product),
  ];
}

function lintUnique(product: Product): Fault[] {
  return [
    ...twins(product.hardware, (i) => ['hardware', i], 'hardware revisions'),
    ...twins(product.hazards, (i) => ['hazards', i], 'hazards'),
    ...twins(product.card.fileSystems, (i) => ['card', 'fileSystems', i], 'file systems'),
    ...twins(product.card.partitionTables, (i) => ['card', 'partitionTables', i], 'partition tables'),
    ...twins(
      product.lights.map((light) => light.id),
      (i) => ['lights', i, 'id'],
      'lights',
    ),
    ...twins(
      product.patterns.map((pattern) => pattern.id),
      (i) => ['patterns', i, 'id'],
      'patterns',
    ),
    ...twins(
      product.procedure.map((step) => step.id),
      (i) => ['procedure', i, 'id'],
      'steps',
    ),
  ];
}

function lintSerial(product: Product): Fault[] {
  const { pattern, gtin } = product.serial;
  const faults: Fault[] = [];
  try {
    RE2JS.compile(pattern);
  } catch (error) {
    faults.push(
      stop('schema', ['serial', 'pattern'], 'The serial pattern is not one that can be used.', {
        seen: printable(error instanceof Error ? error.message : String(error), 160),
        expected: 'a regular expression in RE2 syntax: no look-around, no back-references',
        next: 'Correct the pattern.',
      }),
    );
    return faults;
  }
  if (!/^\^/.test(pattern) || !/(?:^|[^\\])(?:\\\\)*\$$/.test(pattern)) {
    faults.push({
      code: 'serial-pattern-open',
      severity: 'warn',
      path: ['serial', 'pattern'],
      summary: 'The serial pattern does not say where a serial begins and ends.',
      seen: printable(pattern, 80),
      expected: 'a pattern from ^ to $',
      next: 'Put ^ before it and $ after it.',
    });
  }
  if (gtin !== undefined && !gtinAgrees(gtin)) {
    faults.push(
      stop('schema', ['serial', 'gtin'], 'The last digit of the GTIN does not agree with the others.', {
        seen: gtin,
        expected: `${gtin.slice(0, 13)}${gtinCheckDigit(gtin)}`,
        next: 'Read the GTIN from the label once more.',
      }),
    );
  }
  return faults;
}

/** GS1 General Specifications 7.9: weights 3 and 1 from the right. */
function gtinCheckDigit(gtin: string): number {
  let sum = 0;
  for (let i = 0; i < 13; i++) sum += Number(gtin[i]) * (i % 2 === 0 ? 3 : 1);
  return (10 - (sum % 10)) % 10;
}

function gtinAgrees(gtin: string): boolean {
  return gtinCheckDigit(gtin) === Number(gtin[13]);
}

function lintCard(product: Product): Fault[] {
  const { capacity, maxClusterBytes, activePartition, partitionTables } = product.card;
  const faults: Fault[] = [];
  if (capacity.minBytes > capacity.maxBytes) {
    faults.push(
      stop('schema', ['card', 'capacity'], 'The smallest card is larger than the largest.', {
        seen: `min ${capacity.minBytes}, max ${capacity.maxBytes} bytes`,
        expected: 'min no larger than max',
        next: 'Correct one of them.',
      }),
    );
  }
  if (!Number.isInteger(Math.log2(maxClusterBytes))) {
    faults.push(
      stop('schema', ['card', 'maxClusterBytes'], 'There are no clusters of this size.', {
        seen: `${maxClusterBytes} bytes`,
        expected: 'a power of two, such as 32KiB',
        next: 'Correct the size.',
      }),
    );
  }
  if (activePartition && !partitionTables.includes('mbr')) {
    faults.push(
      stop('schema', ['card', 'activePartition'], 'Only an MBR has an active partition.', {
        seen: `partitionTables: ${partitionTables.join(', ')}`,
        expected: 'mbr among the partition tables',
        next: 'Allow mbr, or leave activePartition out.',
      }),
    );
  }
  return faults;
}

function lintLights(product: Product): Fault[] {
  const faults: Fault[] = [];
  product.lights.forEach((light, i) => {
    if ((reservedLightNames as readonly string[]).includes(light.id)) {
      faults.push(
        stop(
          'schema',
          ['lights', i, 'id'],
          `No light can be called '${light.id}': the word has a meaning in patterns.`,
          {
            seen: light.id,
            expected: `another name than ${reservedLightNames.join(', ')}`,
            next: 'Rename the light.',
          },
        ),
      );
    }
    faults.push(...twins(light.colours, (c) => ['lights', i, 'colour', c], 'colours of one light'));
  });
  product.patterns.forEach((pattern, i) => {
    const at: Path = ['patterns', i, 'shows'];
    for (const [id, show] of Object.entries(pattern.shows.lights)) {
      faults.push(...lintShow(product, [...at, id], id, show));
    }
    const { sweep } = pattern.shows;
    sweep?.lights.forEach((id, s) => {
      const known = product.lights.map((light) => light.id);
      if (!known.includes(id)) faults.push(unknownName([...at, 'sweep', s], 'light', id, known));
      if (id in pattern.shows.lights) {
        faults.push(
          stop(
            'schema',
            [...at, 'sweep', s],
            `The light '${id}' runs along and does something else as well.`,
            {
              seen: id,
              expected: 'either of the two',
              next: 'Remove one of them.',
            },
          ),
        );
      }
    });
    if (sweep) faults.push(...twins(sweep.lights, (s) => [...at, 'sweep', s], 'lights in one sweep'));
  });
  return faults;
}

function lintShow(product: Product, path: Path, id: string, show: LightShow): Fault[] {
  const light = product.lights.find((one) => one.id === id);
  if (light === undefined) {
    return [
      unknownName(
        path,
        'light',
        id,
        product.lights.map((one) => one.id),
        true,
      ),
    ];
  }
  if (show.kind === 'off') return [];
  if (show.colour === undefined) {
    if (light.colours.length === 1) return [];
    return [
      stop('schema', path, `The light '${id}' has two colours, and this does not say which.`, {
        expected: `colour: ${light.colours.join(' or ')}`,
        next: 'Add the colour, such as { colour: red } or { perMinute: 60, colour: red }.',
      }),
    ];
  }
  if (light.colours.includes(show.colour)) return [];
  return [
    stop('unknown-name', [...path, 'colour'], `The light '${id}' has no such colour.`, {
      seen: printable(show.colour, 40),
      expected: light.colours.join(' or '),
      next: 'Correct the colour, here or where the light is defined.',
    }),
  ];
}

function lintPositions(product: Product): Fault[] {
  const faults: Fault[] = [];
  for (const [id, position] of Object.entries(product.positions)) {
    const at: Path = ['positions', id];
    faults.push(...twins(position.states, (s) => [...at, 'states', s], 'states of one position'));
    for (const key of ['starts', 'ends'] as const) {
      if (!position.states.includes(position[key])) {
        faults.push(unknownName([...at, key], `state of ${id}`, position[key], position.states));
      }
    }
  }
  product.never.forEach((rule, i) => {
    faults.push(...lintPlacing(product, ['never', i, 'when'], rule.when));
    if (Object.keys(rule.when).length === 0) {
      faults.push(
        stop('schema', ['never', i, 'when'], 'This forbids nothing in particular.', {
          seen: 'an empty mapping',
          expected: 'positions and their states',
          next: 'Name the positions, or remove the rule.',
        }),
      );
    }
  });
  return [...faults, ...lintPlacing(product, ['whileBusy'], product.whileBusy)];
}

function lintWanted(product: Product): Fault[] {
  const warn = (code: string, path: Path, summary: string, next: string): Fault => ({
    code,
    severity: 'warn',
    path,
    summary,
    next,
  });
  const faults: Fault[] = [];
  if (product.source === undefined) {
    faults.push(
      warn(
        'source-missing',
        ['source'],
        'It does not say from which document it was written.',
        'Add source: the document, its issue and page.',
      ),
    );
  }
  const [writer, checker] = [product.writtenBy, product.checkedBy].map((name) => name?.trim().toLowerCase());
  if (checker === undefined || checker === writer) {
    faults.push(
      warn(
        'not-second-checked',
        ['checkedBy'],
        checker === undefined
          ? 'Nobody has checked it against the document, as far as it says.'
          : 'It was checked by the person who wrote it.',
        'Have someone else check it against the document, and name that person in checkedBy.',
      ),
    );
  }
  if (product.serves.length === 0) {
    faults.push(
      warn(
        'serves-missing',
        ['serves'],
        'It does not say what shows that the unit is back in service.',
        'Add serves: the signs to look for.',
      ),
    );
  }
  if (product.patterns.some((pattern) => pattern.busy) && Object.keys(product.whileBusy).length === 0) {
    faults.push(
      warn(
        'while-busy-missing',
        ['whileBusy'],
        'The unit can be busy writing, but nothing is said to hold meanwhile.',
        'Add whileBusy, such as { card: in }.',
      ),
    );
  }
  return faults;
}
