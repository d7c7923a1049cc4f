"""A screw, an old abutment or a driver in the hand: what they weigh, with and without a film."""

import tomllib
from pathlib import Path

import pytest

from identify.evidence import Evidence, Item
from identify.knowledge import load_notes
from identify.note import NumberFact
from identify.weigh import weigh

NOTES = load_notes()
PUBLISHED = Path(__file__).parents[1] / "published" / "iso_threads.toml"
THREADS = tomllib.loads(PUBLISHED.read_text())["thread"]
PITCHED = sorted(k for k, f in NOTES.families.items() if "screw_pitch_mm" in f.facts)
PAIR = ("external_hex_parallel", "internal_hex_parallel")


def bench(**items):
    by = {key: Item(**{"by": "bench", **item}) for key, item in items.items()}
    return weigh(Evidence(items=by), NOTES)


def lead(ranking, one, other):
    return ranking.find(one).points - ranking.find(other).points


@pytest.mark.published
@pytest.mark.parametrize("key", PITCHED)
def test_a_familys_pitches_are_those_of_standard_screws_that_fit_its_channel(key):
    # the widths of channel and screw are noted apart; a standard's pitch ties them together
    bore, pitch = (NOTES.families[key].facts[name] for name in ("bore_width_mm", "screw_pitch_mm"))
    assert isinstance(bore, NumberFact)
    assert isinstance(pitch, NumberFact)
    fitting = [
        row["pitch_mm"]
        for row in THREADS
        if bore.low - bore.edge <= row["major_mm"] <= bore.high + bore.edge
    ]
    assert any(pitch.low - 0.001 <= p <= pitch.high + 0.001 for p in fitting)
    assert min(fitting) - 0.051 <= pitch.low <= pitch.high <= max(fitting) + 0.001


@pytest.mark.published
def test_seventy_two_to_the_inch_parts_the_two_hexagons_from_two_millimetre_screws():
    unf, coarse = (next(r for r in THREADS if r["name"] == name) for name in ("UNF 1-72", "M2"))
    assert unf["pitch_mm"] == pytest.approx(25.4 / 72, abs=1e-4)
    fine = bench(screw_pitch_mm={"value": unf["pitch_mm"]})
    wide = bench(screw_pitch_mm={"value": coarse["pitch_mm"]})
    assert lead(fine, *PAIR) < 0 < lead(wide, *PAIR)
    assert lead(wide, "tissue_level_cone", "deep_cone_progressive_thread") > 5


def test_no_gauge_parts_seventy_two_to_the_inch_from_0_35():
    one, other = (bench(screw_pitch_mm={"value": p}) for p in (0.35, 25.4 / 72))
    for support in one.supports:
        assert support.points == pytest.approx(other.find(support.key).points, abs=2.0)


def test_diameter_and_pitch_of_one_screw_count_once():
    ranking = bench(bore_width_mm={"value": 2.0}, screw_pitch_mm={"value": 0.4})
    rows = {row.item: row for row in ranking.find("tissue_level_cone").rows}
    silent = [row for row in rows.values() if row.counted_with]
    assert [row.points for row in silent] == [0.0]


@pytest.mark.parametrize(
    ("flats_mm", "family"),
    [(2.7, "external_hex_parallel"), (2.5, "internal_hex_parallel"), (3.1, "tissue_level_cone")],
)
def test_across_flats_a_male_part_names_its_family_best(flats_mm, family):
    ranking = bench(index_flats_mm={"value": flats_mm})
    assert ranking.find(family).points > 3
    stated = [k for k, f in NOTES.families.items() if "index_flats_mm" in f.facts]
    others = {"external_hex_parallel": {"external_hex_tapered"}}.get(family, set())
    best = max(stated, key=lambda key: ranking.find(key).points)
    assert best in {family, *others}


@pytest.mark.parametrize("state", NOTES.checklist.items["driver"].states)
def test_a_driver_weighs_little_whichever_seats(state):
    by_mouth = weigh(Evidence(items={"driver": Item(state=state, by="mouth")}), NOTES)
    assert all(abs(support.points) < 6 for support in by_mouth.supports)


@pytest.mark.parametrize("state", NOTES.checklist.items["screw_head"].states)
def test_the_head_of_a_screw_weighs_little(state):
    assert all(abs(s.points) < 6 for s in bench(screw_head={"state": state}).supports)


def test_a_case_without_a_film_is_weighed_from_the_bench_alone():
    ranking = bench(
        index_side={"state": "outside"},
        index_flats_mm={"value": 2.7},
        screw_pitch_mm={"value": 0.4},
        bore_width_mm={"value": 1.95, "std_local": 0.03},
    )
    assert ranking.families[0].key.startswith("external_hex")
    first, second, *_ = ranking.groups.items()
    assert first[0] == "external_index"
    assert first[1] > 5 * second[1]
    assert not ranking.to_json()["not_weighed"]


@pytest.mark.parametrize("on", ["part", "can't tell"])
def test_a_screw_that_may_be_of_a_part_above_weighs_nothing(on):
    ranking = bench(screw_pitch_mm={"value": 0.4, "on": on})
    assert all(support.points == 0 for support in ranking.supports)
