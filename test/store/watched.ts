import type { Db } from '../../collector-service/store/database.ts';

type Step = (sql: string, args: unknown[]) => void;

/**
 * A database that calls `step` before each statement it runs, with `COMMIT` before each commit and with
 * `COMMITTED` after it. What `step` throws, the statement throws.
 */
export function watched(db: Db, step: Step): Db {
  return new Proxy(db, {
    get(_, name) {
      if (name === 'prepare') return (sql: string) => watchedStatement(db.prepare(sql), sql, step);
      if (name === 'transaction') {
        return (work: () => unknown) => {
          const transaction = db.transaction(() => {
            const result = work();
            step('COMMIT', []);
            return result;
          });
          const immediate = () => {
            const result = transaction.immediate();
            step('COMMITTED', []);
            return result;
          };
          return { immediate };
        };
      }
      const value = Reflect.get(db, name, db);
      return typeof value === 'function' ? value.bind(db) : value;
    },
  });
}

const running = new Set<string | symbol>(['run', 'get', 'all', 'iterate']);

function watchedStatement(statement: object, sql: string, step: Step): object {
  const proxy: object = new Proxy(statement, {
    get(_, name) {
      const value = Reflect.get(statement, name, statement);
      if (typeof value !== 'function') return value;
      return (...args: unknown[]) => {
        if (running.has(name)) step(sql, args);
        const result = value.apply(statement, args);
        return result === statement ? proxy : result;
      };
    },
  });
  return proxy;
}
