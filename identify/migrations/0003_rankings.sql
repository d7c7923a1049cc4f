-- What was answered after a step, and the versions that answered it.

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
