"""Marks proposed by the program: put under the handles, which still wait for a hand."""

from __future__ import annotations

import copy

import streamlit as st

from features.marks import ImplantMark, Point
from features.propose import Proposal, propose_all, propose_at
from identify.screens import look, marking
from identify.screens.case import Case
from identify.screens.marking import Draft
from identify.words import percent

SAID = "proposal"  # key in the session: the revision it belongs to, and its sentences
NOTHING = "No implant was made out on this film: drag the handles."


def waiting_label(case: Case) -> str | None:
    """Label of the first implant with a handle that waits for a hand."""
    waits = (label for label in case.labels if case.pending & set(marking.implant_ids(label)))
    return next(waits, None)


def propose_here(case: Case, point: Point) -> None:
    """One click on the film: propose the marks of the implant under it."""
    label = waiting_label(case)
    if label is None:
        return
    found = propose_at(case.film.pixels, point)
    if not found:
        _say(case, f"Nothing is proposed here: {found.reason}. Drag the handles.")
        return
    case.propose(with_place(case.draft, label, found.mark), [label])
    _say(case, *_sentences(label, found))


def propose_everything(case: Case) -> None:
    """No click: propose every implant that is seen, as many as there are handles for."""
    likeliest = propose_all(case.film.pixels)[: len(marking.LABELS)]
    found = sorted(likeliest, key=lambda proposal: proposal.mark.label)
    waiting = [
        label
        for label in marking.LABELS
        if label not in case.labels or case.pending & set(marking.implant_ids(label))
    ]
    draft, told = case.draft, []
    for label, proposal in zip(waiting, found, strict=False):
        if label not in {implant["label"] for implant in draft["implants"]}:
            draft = marking.with_second_implant(draft, case.film.width, case.film.height)
        draft = with_place(draft, label, proposal.mark)
        told += _sentences(label, proposal)
    if told:
        case.propose(draft, waiting[: len(found)])
    _say(case, *(told or [NOTHING]))


def with_place(draft: Draft, label: str, mark: ImplantMark) -> Draft:
    """Put a proposed mark under the handles of one implant; its label and tooth stay."""
    new = copy.deepcopy(draft)
    implant = next(implant for implant in new["implants"] if implant["label"] == label)
    proposed = mark.model_dump(mode="json", include={"platform_px", "apex_px", "joint", "std_px"})
    implant.update(proposed)
    return new


def _sentences(label: str, proposal: Proposal) -> list[str]:
    notes = [note[0].upper() + note[1:] + "." for note in proposal.notes]
    sure = percent(proposal.probability)
    lead = f"The marks of implant {label} are a proposal (an implant: {sure}): drag what is off."
    return [" ".join([lead, *notes])]


def _say(case: Case, *sentences: str) -> None:
    st.session_state[SAID] = (case.revision, sentences)


def show_proposal(case: Case) -> None:
    """Offer to propose while handles wait, and show what was said of a proposal."""
    if waiting_label(case) is None:
        return
    revision, sentences = st.session_state.get(SAID, ("", ()))
    if revision == case.revision:
        for sentence in sentences:
            st.info(sentence)
    else:
        look.quiet("Or click once on the implant, and its marks are proposed.")
