import type { Db } from './database.ts';
import type { PairingLink, Phone, Right } from './store.ts';

interface Row {
  id: string;
  rights: Right;
  tubs: string | null;
  until: number | null;
}

const rightsOf = ({ id, rights, tubs, until }: Row) => ({
  id,
  right: rights,
  tubs: tubs === null ? null : (JSON.parse(tubs) as string[]),
  until,
});

const columnsOf = (may: {
  id: string;
  right: Right;
  tubs: string[] | null;
  until: number | null;
}) => ({
  id: may.id,
  rights: may.right,
  tubs: may.tubs === null ? null : JSON.stringify(may.tubs),
  until: may.until,
});

/** Paired phones and links that are still to be redeemed, by hashes alone. */
export class PhonesTable {
  private readonly sql;

  constructor(db: Db) {
    this.sql = {
      phones: db.prepare('SELECT * FROM phone ORDER BY paired_at, id'),
      byCookie: db.prepare('SELECT * FROM phone WHERE cookie_hash = ?'),
      addPhone: db.prepare(
        `INSERT INTO phone (id, cookie_hash, name, rights, tubs, until, paired_at)
         VALUES (@id, @cookieHash, @name, @rights, @tubs, @until, @pairedAt)`,
      ),
      seen: db.prepare('UPDATE phone SET seen_at = ? WHERE id = ?'),
      rename: db.prepare('UPDATE phone SET name = ? WHERE id = ?'),
      removePhone: db.prepare('DELETE FROM phone WHERE id = ?'),
      addLink: db.prepare(
        `INSERT INTO link (id, code_hash, rights, tubs, until, expires)
         VALUES (@id, @codeHash, @rights, @tubs, @until, @expires)`,
      ),
      links: db.prepare('SELECT * FROM link ORDER BY expires, id'),
      takeLink: db.prepare('DELETE FROM link WHERE code_hash = ? RETURNING *'),
      dropLinks: db.prepare('DELETE FROM link WHERE expires <= ?'),
      removeLink: db.prepare('DELETE FROM link WHERE id = ?'),
    };
  }

  phones(): Phone[] {
    return (this.sql.phones.all() as PhoneRow[]).map(phoneOf);
  }

  phoneByCookie(cookieHash: string): Phone | null {
    const row = this.sql.byCookie.get(cookieHash) as PhoneRow | undefined;
    return row ? phoneOf(row) : null;
  }

  addPhone(phone: Omit<Phone, 'seenAt'>, cookieHash: string): void {
    const { name, pairedAt } = phone;
    this.sql.addPhone.run({ ...columnsOf(phone), name, pairedAt, cookieHash });
  }

  phoneSeen(id: string, at: number): void {
    this.sql.seen.run(at, id);
  }

  renamePhone(id: string, name: string): void {
    this.sql.rename.run(name, id);
  }

  removePhone(id: string): boolean {
    return this.sql.removePhone.run(id).changes === 1;
  }

  addLink(link: PairingLink, codeHash: string): void {
    this.sql.addLink.run({ ...columnsOf(link), expires: link.expires, codeHash });
  }

  links(): PairingLink[] {
    return (this.sql.links.all() as LinkRow[]).map(linkOf);
  }

  takeLink(codeHash: string, at: number): PairingLink | null {
    const row = this.sql.takeLink.get(codeHash) as LinkRow | undefined;
    this.sql.dropLinks.run(at);
    return row && row.expires > at ? linkOf(row) : null;
  }

  removeLink(id: string): boolean {
    return this.sql.removeLink.run(id).changes === 1;
  }
}

interface PhoneRow extends Row {
  name: string;
  paired_at: number;
  seen_at: number | null;
}

interface LinkRow extends Row {
  expires: number;
}

const phoneOf = (row: PhoneRow): Phone => ({
  ...rightsOf(row),
  name: row.name,
  pairedAt: row.paired_at,
  seenAt: row.seen_at,
});

const linkOf = (row: LinkRow): PairingLink => ({ ...rightsOf(row), expires: row.expires });
