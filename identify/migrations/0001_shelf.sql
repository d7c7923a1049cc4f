-- The practice's own systems: one row a size or a part, as JSON that identify/shelf.py checks.

CREATE TABLE shelf_size (
  system TEXT NOT NULL COLLATE NOCASE,
  place INTEGER NOT NULL,
  row TEXT NOT NULL CHECK (json_valid(row)),
  PRIMARY KEY (system, place)
) STRICT, WITHOUT ROWID;

CREATE TABLE shelf_part (
  system TEXT NOT NULL COLLATE NOCASE,
  place INTEGER NOT NULL,
  row TEXT NOT NULL CHECK (json_valid(row)),
  PRIMARY KEY (system, place)
) STRICT, WITHOUT ROWID;
