-- SPDX-License-Identifier: GPL-3.0-or-later
-- index.sql -- what can be worked out again from the tables of schema.sql.
-- Dropped and rebuilt by lh_book_rebuild whenever its version (book_room.h)
-- changes; nothing here was written by a person.
DROP TABLE IF EXISTS search;
DROP TABLE IF EXISTS head;
DROP TABLE IF EXISTS touched;
DROP TABLE IF EXISTS refers;

-- Where each record stands now.
CREATE TABLE head (
  record INTEGER PRIMARY KEY REFERENCES record (seq),
  number INTEGER NOT NULL,  -- its newest revision that is not on the side
  hidden INTEGER NOT NULL,
  name TEXT NOT NULL,
  note TEXT NOT NULL
) STRICT;
CREATE INDEX head_name ON head (name);

-- Words of names and notes, found by their beginnings, accents or not.  Kept
-- beside `head` by the program (book_stand.c), not by triggers: SQLite is told
-- not to trust what a book's own schema does.
CREATE VIRTUAL TABLE search USING fts5 (
  name, note, content = 'head', content_rowid = 'record',
  tokenize = "unicode61 remove_diacritics 2", prefix = '1 2 3'
);
-- What each revision touched (patch.h), to tell whether two edits meet.
CREATE TABLE touched (
  record INTEGER NOT NULL,
  number INTEGER NOT NULL,
  thing TEXT NOT NULL,
  PRIMARY KEY (record, number, thing)
) STRICT, WITHOUT ROWID;

-- Which records and blobs the newest revision of a record refers to.
CREATE TABLE refers (
  record INTEGER NOT NULL,
  place TEXT NOT NULL,      -- JSON pointer
  kind TEXT NOT NULL,       -- of what is referred to; '' any, 'blob' a blob
  target TEXT NOT NULL,     -- its id, or the SHA-256 in hexadecimal
  PRIMARY KEY (record, place)
) STRICT, WITHOUT ROWID;
CREATE INDEX refers_target ON refers (target);
