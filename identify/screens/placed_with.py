"""The question whether an implant was placed together with another one of the case."""

from __future__ import annotations

import streamlit as st

from features.reading import Reading
from identify.evidence import Evidence, Item
from identify.lending import PLACED_WITH, lends_of, without_lent
from identify.screens import session
from identify.screens.answers import CANNOT
from identify.screens.case import Case
from identify.weigh import weigh

NO = "no"
WHO = ("the patient", "a card or record", "the clinic that placed them", "another person")


def ask_placed_with(case: Case, reading: Reading) -> None:
    """Ask for another implant of the film, and who says so; not at all where there is none."""
    others = [implant.label for implant in reading.implants if implant.label != case.chosen]
    if not others:
        return
    entry = session.notes().checklist.items[PLACED_WITH]
    given = case.answers.get(case.chosen, {}).get(PLACED_WITH)
    key, who = f"placed with {case.chosen}", f"placed with {case.chosen} by"
    st.session_state[key] = _shown(given, others)
    st.session_state[who] = given.note if given and given.note in WHO else WHO[0]

    def keep() -> None:
        said, by = st.session_state[key], st.session_state.get(who, WHO[0])
        case.answer(case.chosen, PLACED_WITH, _item(case, reading, said, by))

    st.segmented_control(
        entry.question,
        [NO, *others, CANNOT],
        format_func=lambda said: f"with {said}" if said in others else said,
        key=key,
        on_change=keep,
        help=entry.help,
    )
    if given and given.beside:
        st.selectbox("Who says so", WHO, key=who, on_change=keep, width=320)


def refresh_lent(case: Case, reading: Reading) -> None:
    """Let what is lent follow what is seen of the other implant since."""
    labels = [implant.label for implant in reading.implants]
    for label, given in case.answers.items():
        item = given.get(PLACED_WITH)
        if label not in labels or item is None or item.beside not in labels:
            continue
        lends = _lends(session.evidence_of(case, reading, item.beside))
        if dict(item.lends) != lends:
            case.answer(label, PLACED_WITH, item.model_copy(update={"lends": lends}))


def _shown(given: Item | None, others: list[str]) -> str | None:
    if given is None:
        return None
    if given.beside:
        return given.beside if given.beside in others else None
    return NO if given.decided else CANNOT


def _item(case: Case, reading: Reading, said: str | None, who: str) -> Item | None:
    if said is None:
        return None
    if said in (NO, CANNOT):
        return Item(state="absent" if said == NO else said, by="known")
    lends = _lends(session.evidence_of(case, reading, said))
    return Item(state="present", by="known", note=who, beside=said, lends=lends)


@st.cache_resource(
    max_entries=64, show_spinner=False, hash_funcs={Evidence: Evidence.model_dump_json}
)
def _lends(evidence: Evidence) -> dict[str, float]:
    return lends_of(weigh(without_lent(evidence), session.notes()))
