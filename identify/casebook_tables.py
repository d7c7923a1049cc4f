"""The casebook's tables, version by version. Scripts are only appended, never changed."""

from __future__ import annotations

VERSION_1 = """
CREATE TABLE cases (
    key TEXT PRIMARY KEY,
    made_at TEXT NOT NULL
) STRICT;
CREATE TABLE steps (
    case_key TEXT NOT NULL REFERENCES cases (key) ON DELETE CASCADE,
    number INTEGER NOT NULL,
    at TEXT NOT NULL,
    what TEXT NOT NULL,
    state TEXT NOT NULL,
    PRIMARY KEY (case_key, number)
) STRICT;
"""

VERSION_2 = """
CREATE TABLE rankings (
    case_key TEXT NOT NULL,
    number INTEGER NOT NULL,
    label TEXT NOT NULL,
    ranking TEXT NOT NULL,
    versions TEXT NOT NULL,
    PRIMARY KEY (case_key, number, label),
    FOREIGN KEY (case_key, number) REFERENCES steps (case_key, number) ON DELETE CASCADE
) STRICT;
CREATE INDEX steps_by_time ON steps (at);
"""

MIGRATIONS = {"casebook": (VERSION_1, VERSION_2)}
