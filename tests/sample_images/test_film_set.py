"""Sets of films: seeds and families in turn, going on where a run was broken off."""

import json

import pytest

from sample_images.film_set import list_orders, make
from sample_images.scene import Wanted

KEYS = ("tri_channel", "hollow_basket")
SMALL = {"level": "clean", "wanted": Wanted(rows=160), "detectability": False}


def everything(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.fixture(scope="module")
def orders():
    return list_orders(KEYS, 11, 3, **SMALL)


@pytest.fixture(scope="module")
def made(tmp_path_factory, orders):
    folder = tmp_path_factory.mktemp("set")
    assert [make(order, folder) for order in orders] == [True, True, True]
    return folder


def test_seeds_run_on_and_families_take_turns(orders, made):
    assert [order.stem for order in orders] == [
        "tri_channel-clean-11",
        "hollow_basket-clean-12",
        "tri_channel-clean-13",
    ]
    truth = json.loads((made / "hollow_basket-clean-12.truth.json").read_text(encoding="utf-8"))
    assert (truth["family"], truth["seed"]) == ("hollow_basket", 12)
    assert truth["asked"] == orders[1].asked


def test_nothing_is_made_twice(orders, made):
    stamps = {path: path.stat().st_mtime_ns for path in made.iterdir()}
    assert [make(order, made) for order in orders] == [False, False, False]
    assert stamps == {path: path.stat().st_mtime_ns for path in made.iterdir()}


@pytest.mark.parametrize("ending", [".png", ".marks.json", ".truth.json"])
def test_only_what_is_missing_is_made_again_with_the_same_bytes(orders, made, ending):
    before = everything(made)
    (made / f"{orders[1].stem}{ending}").unlink()
    assert [make(order, made) for order in orders] == [False, True, False]
    assert everything(made) == before


def test_a_film_asked_for_with_other_facts_is_made_anew(tmp_path):
    plain, line = (
        list_orders(
            KEYS, 1, 1, level="clean", wanted=Wanted(rows=160, scale=scale), detectability=False
        )
        for scale in ("ball", "line")
    )
    assert make(plain[0], tmp_path)
    assert make(line[0], tmp_path)
    assert not make(line[0], tmp_path)


def test_facts_are_looked_up_once_a_family():
    asked = []
    orders = list_orders(KEYS, 0, 7, lambda key: asked.append(key) or {"thread": {"yes": 1.0}})
    assert sorted(asked) == sorted(KEYS)
    assert all(order.asked["facts"] for order in orders)
    assert len({order.asked["facts"] for order in orders}) == 1
