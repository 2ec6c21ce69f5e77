import { sqlitePlace } from '../support/sqlite-place.ts';
import { recordStoreSuite } from './record-store-suite.ts';

recordStoreSuite('SQLite', sqlitePlace);
