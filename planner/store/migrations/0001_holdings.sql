-- Holdings, their features row by row, and the journal of every change.
-- A plan file is head, the texts of its features in the order of place with commas between them, and tail;
-- where it has no feature, head, empty and tail.
CREATE TABLE holding (
    key        INTEGER PRIMARY KEY AUTOINCREMENT, -- a key is never given twice
    id         TEXT    NOT NULL UNIQUE,
    name       TEXT    NOT NULL,
    revision   INTEGER NOT NULL CHECK (revision > 0),
    changed_ms INTEGER NOT NULL, -- since 1970, UTC
    head       BLOB    NOT NULL,
    empty      BLOB    NOT NULL,
    tail       BLOB    NOT NULL
) STRICT;

CREATE TABLE feature (
    holding INTEGER NOT NULL REFERENCES holding ON DELETE CASCADE,
    place   INTEGER NOT NULL, -- orders the features of a holding; has gaps
    id      TEXT    NOT NULL,
    text    BLOB    NOT NULL, -- with the white space around it, without commas
    UNIQUE (holding, place),
    UNIQUE (holding, id)
) STRICT;

-- One row a revision.
CREATE TABLE entry (
    key          INTEGER PRIMARY KEY,
    holding      INTEGER NOT NULL REFERENCES holding ON DELETE CASCADE,
    revision     INTEGER NOT NULL,
    at_ms        INTEGER NOT NULL,
    kind         TEXT    NOT NULL,
    note         TEXT    NOT NULL,
    -- done: can be undone. undone: can be redone. dropped: undone for good. record: neither.
    standing     TEXT    NOT NULL CHECK (standing IN ('done', 'undone', 'dropped', 'record')),
    of_revision  INTEGER, -- of an undo or redo: the revision that it took back or made again
    name_before  TEXT, name_after  TEXT, -- these eight are null where the file around the features stayed as it was
    head_before  BLOB, head_after  BLOB,
    empty_before BLOB, empty_after BLOB,
    tail_before  BLOB, tail_after  BLOB,
    UNIQUE (holding, revision)
) STRICT;

CREATE INDEX entry_standing ON entry (holding, standing, revision);

-- The rows of feature that an entry changed: before is null where one came, after where one went.
CREATE TABLE entry_feature (
    entry       INTEGER NOT NULL REFERENCES entry ON DELETE CASCADE,
    place       INTEGER NOT NULL,
    id_before   TEXT, text_before BLOB,
    id_after    TEXT, text_after  BLOB,
    PRIMARY KEY (entry, place)
) STRICT;

-- Where the revisions of deleted holdings ended, so that a new one of the same id goes on from there and
-- an old revision never fits it.
CREATE TABLE retired (
    id       TEXT    NOT NULL PRIMARY KEY,
    revision INTEGER NOT NULL
) STRICT;
