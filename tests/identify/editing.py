"""A program that edits a case without end, to be killed. Says each step once it is saved."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from identify.casebook import Casebook
from tests.identify.kept_cases import some_case

book = Casebook(Path(sys.argv[1]))
print("ready", flush=True)
for seed in range(10**6):
    case = some_case(book, seed=seed).model_copy(update={"notes": "edit 1"})
    saved = book.start(case)
    print(saved.key, 1, flush=True)
    for number in range(2, 8):
        case = case.model_copy(update={"notes": f"edit {number}"})
        saved = book.save(saved.key, case, "note", after=saved.step.number)
        print(saved.key, number, flush=True)
