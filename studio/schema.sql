-- SPDX-License-Identifier: GPL-3.0-or-later
-- schema.sql -- what the user wrote.  It is only ever added to: triggers
-- refuse to change or remove a row, so that no line is lost.  What can be
-- worked out from these tables again stands in index.sql.
--
-- "LHBK", so that file(1) and we can tell a book from another database.
PRAGMA application_id = 1279803979;
-- The version of these tables.  A newer program brings an older book up step
-- by step (book_open.c); an older program refuses a newer book by name.
PRAGMA user_version = 1;

-- About the book itself: which it is, when it was begun.
CREATE TABLE about (
  key TEXT PRIMARY KEY NOT NULL,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- One row for each thing kept, for ever.  What it is like stands in revision.
CREATE TABLE record (
  seq INTEGER PRIMARY KEY,
  -- The name by which documents and addresses refer to it.
  id TEXT NOT NULL UNIQUE
    CHECK (length(id) BETWEEN 1 AND 64 AND id NOT GLOB '*[^-A-Za-z0-9_.]*'),
  kind TEXT NOT NULL
    CHECK (kind IN ('material', 'body', 'slip', 'glaze', 'brush', 'form',
                    'motif', 'piece', 'tile', 'firing', 'note'))
) STRICT;
CREATE INDEX record_kind ON record (kind, seq);

-- Every save is a row.  The document of a revision is that of its base with
-- its patch applied; a full copy stands at the first and then every so often,
-- so that no document takes more than 64 patches to make.
CREATE TABLE revision (
  seq INTEGER PRIMARY KEY,               -- in the order of saving
  record INTEGER NOT NULL REFERENCES record (seq),
  number INTEGER NOT NULL CHECK (number >= 1),
  base INTEGER CHECK (base < number),    -- the revision that it stands on
  at INTEGER NOT NULL,                   -- seconds since 1970, UTC
  device TEXT NOT NULL CHECK (length(device) BETWEEN 1 AND 64),
  act TEXT NOT NULL
    CHECK (act IN ('new', 'edit', 'undo', 'redo', 'restore', 'choose',
                   'hide', 'show')),
  reverses INTEGER,  -- of undo and redo: what it takes back
  takes INTEGER,     -- of restore and choose: whose document it brings back
  settles INTEGER,   -- of choose: the version kept aside that is decided on
  -- 1: on the side.  It met another device's edit of the same thing; both
  -- are kept until the user chooses.
  aside INTEGER NOT NULL CHECK (aside IN (0, 1)),
  hidden INTEGER NOT NULL CHECK (hidden IN (0, 1)),
  -- JSON, RFC 6902.  json_valid() would say more, but a book may come from a
  -- stranger, so SQLite is told not to trust what a schema calls.
  patch TEXT NOT NULL CHECK (patch GLOB '[[]*]'),
  inverse TEXT NOT NULL CHECK (inverse GLOB '[[]*]'), -- the way back
  document TEXT CHECK (document GLOB '{*}'),          -- NULL: none here
  depth INTEGER NOT NULL CHECK (depth BETWEEN 0 AND 63), -- patches since
  -- SHA-256 over all the above but depth: finds what a disk forgot.
  hash BLOB NOT NULL CHECK (length(hash) = 32),
  UNIQUE (record, number),
  FOREIGN KEY (record, base) REFERENCES revision (record, number),
  CHECK ((number = 1) = (base IS NULL)),
  CHECK ((number = 1) = (act = 'new')),
  CHECK ((depth = 0) = (document IS NOT NULL)),
  CHECK ((act IN ('undo', 'redo')) = (reverses IS NOT NULL)),
  CHECK ((act = 'choose') = (settles IS NOT NULL))
) STRICT;
CREATE INDEX revision_reverses ON revision (record, reverses)
  WHERE reverses IS NOT NULL;
CREATE INDEX revision_settles ON revision (record, settles)
  WHERE settles IS NOT NULL;
CREATE INDEX revision_aside ON revision (record, number) WHERE aside = 1;

-- Pictures and the like, named by what they hold.
CREATE TABLE blob (
  sha256 BLOB PRIMARY KEY NOT NULL CHECK (length(sha256) = 32),
  media TEXT NOT NULL
    CHECK (media IN ('image/png', 'image/jpeg', 'application/octet-stream')),
  bytes BLOB NOT NULL
) STRICT;

CREATE TRIGGER record_stays BEFORE UPDATE ON record
BEGIN SELECT raise(ABORT, 'a record is never changed'); END;
CREATE TRIGGER record_kept BEFORE DELETE ON record
BEGIN SELECT raise(ABORT, 'a record is never removed'); END;
CREATE TRIGGER revision_stays BEFORE UPDATE ON revision
BEGIN SELECT raise(ABORT, 'a revision is never changed'); END;
CREATE TRIGGER revision_kept BEFORE DELETE ON revision
BEGIN SELECT raise(ABORT, 'a revision is never removed'); END;
CREATE TRIGGER blob_stays BEFORE UPDATE ON blob
BEGIN SELECT raise(ABORT, 'a blob is never changed'); END;
CREATE TRIGGER blob_kept BEFORE DELETE ON blob
BEGIN SELECT raise(ABORT, 'a blob is never removed'); END;
