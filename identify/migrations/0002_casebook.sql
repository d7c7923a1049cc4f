-- Cases, and every step of their history; a step is the whole state (identify/kept_case.py).

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
