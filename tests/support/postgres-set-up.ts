// Sets a server's record up, as one of several programs that start at once: `node postgres-set-up URL`.

import { setUpPostgresRecord } from '../../src/adapters/record/postgres/open-postgres-record.ts';

const { changed } = await setUpPostgresRecord(process.argv[2] ?? '', process.env);
process.stdout.write(changed ? 'changed\n' : 'there\n');
