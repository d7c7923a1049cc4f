"""No test ever touches the data of whoever runs it."""

import os

import pytest


@pytest.fixture(scope="session", autouse=True)
def data_folder_of_its_own(tmp_path_factory):
    before = os.environ.get("RADIOFIXTURE_DATA")
    os.environ["RADIOFIXTURE_DATA"] = str(tmp_path_factory.mktemp("own data"))
    yield
    if before is None:
        del os.environ["RADIOFIXTURE_DATA"]
    else:
        os.environ["RADIOFIXTURE_DATA"] = before
