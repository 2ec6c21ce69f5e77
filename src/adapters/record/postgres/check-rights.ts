// Do the server's guards stand, and has no role more rights than it needs? Nobody but the owner of the tables can take an
// entry away, and even the owner only by taking the triggers off first. Roles that can do anything on a server
// (superusers) are told of where one is used for daily work.

import type { Finding } from '../../../words/finding.ts';
import { printable } from '../../../words/printable.ts';
import type { Queries } from './connection.ts';

const guards = [
  'entries_are_never_changed',
  'entries_are_never_emptied',
  'entries_follow_in_chains',
] as const;
/** With what each asks of an entry that is added. */
const policies: Readonly<Record<string, string | null>> = {
  entries_are_added_to_own_chains: 'slotproof.may_add(laptop)',
  entries_are_read: null,
};

export async function checkRights(queries: Queries): Promise<Finding[]> {
  return [...(await checkGuards(queries)), ...(await checkRoles(queries)), ...(await checkSelf(queries))];
}

async function checkGuards(queries: Queries): Promise<Finding[]> {
  const findings: Finding[] = [];
  const standing = new Set((await queries.all('guards')).map(({ name }) => name));
  for (const guard of guards) if (!standing.has(guard)) findings.push(guardGone(`trigger ${guard}`));
  const table = await queries.get('rowSecurity');
  if (table?.on !== true) findings.push(guardGone('row level security of slotproof.entries'));
  const found = await queries.all('policies');
  for (const [policy, asks] of Object.entries(policies)) {
    if (found.some(({ name, check }) => name === policy && check === asks)) continue;
    findings.push(guardGone(`policy ${policy}`));
  }
  for (const { name: policy } of found) {
    if (Object.hasOwn(policies, policy)) continue;
    findings.push({
      code: 'server-policy-unknown',
      severity: 'stop',
      summary: 'A policy on the server lets roles do more with entries than slotproof has set up.',
      seen: printable(policy),
      where: 'slotproof.entries',
      next: 'Let the administrator drop it: DROP POLICY.',
    });
  }
  return findings;
}

function guardGone(what: string): Finding {
  return {
    code: 'server-guard-gone',
    severity: 'stop',
    summary: 'A guard of the entries on the server is gone or switched off.',
    where: what,
    next: 'Ask the administrator who took it off and why; restore it, then run slotproof record check --record URL again.',
  };
}

/** What may be done with each table by others than its owner; each right with the group that it is meant for. */
async function checkRoles(queries: Queries): Promise<Finding[]> {
  return (await queries.all('excessRights')).map(({ role, relation, right }) => ({
    code: 'role-right-excess',
    severity: 'stop',
    summary: 'A role may do more on the server than its work needs.',
    seen: printable(`${role}: ${right} on ${relation}`),
    expected: 'nobody changes or removes entries; marks and writers are the server’s and its administrator’s',
    where: printable(role),
    next: printable(`Let the administrator run: REVOKE ${right} ON slotproof.${relation} FROM "${role}"`),
  }));
}

async function checkSelf(queries: Queries): Promise<Finding[]> {
  const self = await queries.get('self');
  if (self === undefined || !(self.is_superuser || self.is_owner)) return [];
  return [
    {
      code: 'role-too-strong',
      severity: 'warn',
      summary: 'This user could take the guards off the entries: it is for setting up, not for daily work.',
      seen: printable(`${self.role}: ${self.is_superuser ? 'a superuser' : 'the owner of the tables'}`),
      next: 'Use a user of its own for each laptop and for the office; see slotproof record sync --help.',
    },
  ];
}
