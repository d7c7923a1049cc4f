-- The name of a second film, which may be a patient's, was kept among the facts; no more.

UPDATE steps SET state = json_remove(
    state, '$.films[0].facts."second film A"', '$.films[0].facts."second film B"'
) WHERE state LIKE '%"second film %';
