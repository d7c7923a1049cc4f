import pytest

from identify.evidence import Evidence
from identify.explain import best_against, best_for
from identify.ranking import Row, Support
from identify.weigh import weigh
from tests.identify.small_notes import (
    COARSE,
    FINE,
    INNER,
    OTHER_INNER,
    SMOOTH,
    notes,
)


def weighed(items, *families, rel_std=0.0, kind="ball"):
    scale = {"kind": kind} | ({} if kind == "none" else {"rel_std": rel_std})
    return weigh(Evidence.model_validate({"scale": scale, "items": items}), notes(*families))


def sentence(ranking, family, item):
    return next(row.sentence for row in ranking.find(family).rows if row.item == item)


def film(value, std):
    return {"value": value, "std_local": std, "by": "film"}


@pytest.mark.parametrize(
    ("family", "expected"),
    [
        (
            "fine_screw",
            (
                "Thread pitch 0.610 ± 0.020 mm lies within the 0.55–0.75 mm expected here; "
                "that speaks for it."
            ),
        ),
        (
            "coarse_screw",
            (
                "Thread pitch 0.610 ± 0.020 mm lies 0.39 mm below the 1.00–1.25 mm expected here; "
                "that speaks strongly against it."
            ),
        ),
        (
            "smooth_cylinder",
            "Thread pitch 0.610 ± 0.020 mm; nothing is noted of it here, so it weighs 0.",
        ),
    ],
)
def test_a_number_is_held_against_the_range_expected(family, expected):
    ranking = weighed({"thread_pitch_mm": film(0.61, 0.01)})
    assert sentence(ranking, family, "thread_pitch_mm") == expected


def test_the_interval_of_a_length_includes_the_scale():
    ranking = weighed({"length_mm": film(10.0, 0.0)}, rel_std=0.02)
    assert "10.0 ± 0.4 mm" in sentence(ranking, "fine_screw", "length_mm")


def test_a_range_through_zero_is_written_out():
    ranking = weighed({"taper_deg": film(3.0, 0.1)})
    assert "lies 2.5° above the −0.5 to 0.5° expected" in sentence(
        ranking, "fine_screw", "taper_deg"
    )


def test_a_number_just_outside_is_not_called_nothing_off():
    ranking = weighed({"thread_pitch_mm": film(0.7501, 0.01)})
    assert "lies under 0.01 mm above" in sentence(ranking, "fine_screw", "thread_pitch_mm")


def test_a_ratio_is_held_against_what_the_familys_sizes_allow():
    ranking = weighed({"pitch_to_width": film(0.16, 0.002)}, kind="none")
    said = sentence(ranking, "fine_screw", "pitch_to_width")
    # 0.55/4.1 and 0.75/3.6
    assert said.startswith("Thread pitch ÷ body width 0.160 ± 0.004 lies within the 0.13–0.21 ")


@pytest.mark.parametrize(
    ("item", "family", "expected"),
    [
        (
            {"state": "absent", "probability": 0.8, "by": "film"},
            "fine_screw",
            "Vents: looked for and not seen, 80 % sure; expected in 90 % here; that weighs little.",
        ),
        (
            {"state": "present", "by": "eye"},
            "coarse_screw",
            "Vents: seen (seen on the film); expected in 2 % here; that speaks against it.",
        ),
    ],
)
def test_a_finding_says_how_often_it_is_expected(item, family, expected):
    assert sentence(weighed({"vents": item}), family, "vents") == expected


def test_a_silent_state_does_not_dilute_how_often_a_form_is_expected():
    ranking = weighed({"top_form": {"state": "block", "by": "film"}})
    assert "expected in 90 % here" in sentence(ranking, "fine_screw", "top_form")


def test_every_row_has_a_sentence_without_a_bare_number():
    items = {
        "coronal_width_mm": film(4.0, 0.02),
        "thread_pitch_mm": film(0.62, 0.01),
        "thread_depth_mm": film(0.36, 0.02),
        "vents": {"state": "absent", "by": "film"},
        "apex_form": {"state": "dome", "by": "eye"},
    }
    for support in weighed(items, rel_std=0.02).supports:
        for row in support.rows:
            assert row.sentence.endswith(".")
            assert "nan" not in row.sentence.lower()
            assert "None" not in row.sentence


def made_support(*points):
    rows = tuple(Row(f"item_{n}", p, f"Sentence {n}.", "film") for n, p in enumerate(points))
    return Support("x", "X", 0.5, sum(points), rows, "possible")


def test_the_best_reasons_each_way_are_those_with_most_points():
    support = made_support(3.0, -2.0, 8.0, -12.0, 0.2)
    assert best_for(support).sentence == "Sentence 2."
    assert best_against(support).sentence == "Sentence 3."


@pytest.mark.parametrize("points", [(), (0.2, -0.3)])
def test_no_reason_is_made_up_where_nothing_weighs(points):
    assert best_for(made_support(*points)) is None
    assert best_against(made_support(*points)) is None


def test_the_verdict_leads_with_connection_and_body():
    ranking = weighed(
        {
            "thread_pitch_mm": film(0.62, 0.01),
            "coronal_width_mm": film(3.8, 0.02),
            "apex_form": {"state": "dome", "by": "film"},
        }
    )
    assert ranking.verdict.word == ranking.find("fine_screw").verdict == "well supported"
    said = ranking.verdict.sentence
    assert said.startswith("External index well supported (")
    assert said.index("body of fine screw") < said.index("best fit fine screw")
    assert said.endswith("not enough to order parts.")


def test_two_connections_are_named_while_none_has_the_better_half():
    said = weighed({}, FINE, COARSE, SMOOTH).verdict.sentence
    assert ", or " in said.split(";")[0]


def test_the_verdict_says_when_kinds_are_not_told_apart():
    items = {"thread_pitch_mm": film(0.62, 0.01)}
    assert "not told apart before the platform is seen" in (
        weighed(items, INNER, OTHER_INNER).verdict.sentence
    )


def test_a_leading_rival_is_said_and_the_word_stays_the_best_familys():
    ranking = weighed({"coronal_width_mm": film(1.5, 0.02)})
    assert ranking.supports[0].key == "not_an_implant"
    assert ranking.verdict.sentence.startswith("This may not be an implant at all (")
    assert ranking.verdict.word == ranking.families[0].verdict != "well supported"
    assert "not enough to order parts" in ranking.verdict.sentence


def test_none_of_these_leads_where_every_family_is_contradicted():
    ranking = weighed({"taper_deg": film(6.0, 0.1), "thread_pitch_mm": film(0.4, 0.005)})
    assert ranking.supports[0].key == "none_of_these"
    assert ranking.verdict.sentence.startswith("None of the families described here fits well (")


def test_beside_rivals_the_reason_given_is_one_they_do_not_share():
    coarse, fine = made_support(9.0, 4.0), made_support(9.0, -6.0)
    assert best_for(coarse) is coarse.rows[0]
    assert best_for(coarse, [fine]) is coarse.rows[1]
