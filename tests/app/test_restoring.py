"""The Restore screen without a browser: facts typed on it, a rival, other films."""

from identify.screens import on_table, session
from tests.app.steps import case_of, choose, go, html_of


def test_an_implant_beside_it_is_planned_with_its_own_connection(app):
    go(app, "restore")
    choose(app, "Family", "pressfit_cylinder_plain_bore")
    offered = next(box for box in app.multiselect if "belong to this plan" in box.label)
    offered.set_value(["47"]).run()
    assert "On 47" not in html_of(app)
    choose(app, "Connection", "internal_index")
    assert "On 47 (internal index): " in html_of(app)


def test_an_implant_on_another_film_brings_its_lean_into_the_plan(app):
    """Two films of one jaw: both show their implant's lean to mesial, so none is typed."""
    names = [f"Demo film {number}" for number in range(1, len(on_table.demo_films()) + 1)]
    teeth = {}
    for name in names:
        choose(app, "On the table", name)
        teeth[name] = case_of(app).draft["implants"][0]["tooth"]
    one, other = pair_in_one_jaw(teeth)
    choose(app, "On the table", one)
    go(app, "restore")
    offered = next(box for box in app.multiselect if "belong to this plan" in box.label)
    offered.set_value([teeth[other]]).run()
    for number in [box.key for box in app.number_input if box.label == "Leans to buccal, °"]:
        app.number_input(key=number).set_value(0.0).run()
    assert "The implants diverge by" in html_of(app)


def pair_in_one_jaw(teeth):
    for one, first in teeth.items():
        for other, second in teeth.items():
            if one != other and first != second and (first[0] in "12") == (second[0] in "12"):
                return one, other
    raise AssertionError(teeth)


def test_a_rival_stands_beside_every_way(app):
    go(app, "restore")
    choose(app, "Family", "external_hex_parallel")
    assert 'rf-rival"' not in html_of(app)
    choose(app, "Beside it, a rival", "tissue_level_cone")
    assert html_of(app).count('class="rf-rival"') == html_of(app).count('class="rf-why"')


def test_facts_that_contradict_each_other_are_said_in_one_sentence(app):
    go(app, "restore")
    app.button_group(key="answer_restore_A_index").set_value("absent").run()
    choose(app, "Parts that engage the index", "yes")
    assert "the index is absent and yet the parts engage it" in app.warning[0].value
    assert '<details class="rf-way"' not in html_of(app)


def test_confirming_one_family_does_not_free_the_parts_of_another(app):
    go(app, "record")
    choose(app, "By", "trial")
    titles = next(box for box in app.selectbox if box.label == "As").options
    keys = {family.title: key for key, family in session.load_notes().families.items()}
    choose(app, "As", titles[0])
    go(app, "restore")
    choose(app, "Family", keys[titles[0]])
    assert "ask whether obtainable</p>" not in html_of(app)
    choose(app, "Family", keys[titles[1]])
    assert "ask whether obtainable</p>" in html_of(app)
