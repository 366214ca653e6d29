-- Pictures to trace over. An image stays as long as the journal can bring it back.
CREATE TABLE image (
    key     INTEGER PRIMARY KEY,
    holding INTEGER NOT NULL REFERENCES holding ON DELETE CASCADE,
    media   TEXT    NOT NULL,
    data    BLOB    NOT NULL
) STRICT;

CREATE INDEX image_holding ON image (holding);

CREATE TABLE picture (
    holding INTEGER NOT NULL REFERENCES holding ON DELETE CASCADE,
    name    TEXT    NOT NULL,
    image   INTEGER NOT NULL REFERENCES image,
    PRIMARY KEY (holding, name)
) STRICT;

CREATE INDEX picture_image ON picture (image);

-- The rows of picture that an entry changed.
CREATE TABLE entry_picture (
    entry        INTEGER NOT NULL REFERENCES entry ON DELETE CASCADE,
    name         TEXT    NOT NULL,
    image_before INTEGER REFERENCES image,
    image_after  INTEGER REFERENCES image,
    PRIMARY KEY (entry, name)
) STRICT;

CREATE INDEX entry_picture_before ON entry_picture (image_before);
CREATE INDEX entry_picture_after ON entry_picture (image_after);
