"""Guards on the layout: imports point down, files stay short."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = ("features", "identify", "sample_images")
MAY_IMPORT = {
    "features": {"features"},
    "sample_images": {"sample_images"},
    "identify": {"identify", "features", "sample_images"},
    "app.py": {"identify", "features", "sample_images"},
}
LONGEST = 300
SKIPPED = {".venv", ".git", "build", "dist"}


def imported(path):
    """Names of everything a file imports, with the line."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield alias.name, node.lineno
        elif isinstance(node, ast.ImportFrom):
            yield "." * node.level + (node.module or ""), node.lineno


def source_files():
    own = [path for package in PACKAGES for path in sorted((ROOT / package).rglob("*.py"))]
    return [*own, *(path for path in [ROOT / "app.py"] if path.exists())]


def owner(path):
    return path.relative_to(ROOT).parts[0]


def wrong_imports(path, text_owner=None):
    allowed = MAY_IMPORT[text_owner or owner(path)]
    for name, line in imported(path):
        top = name.split(".")[0]
        if name.startswith(".") or (top in {*PACKAGES, "app", "tests"} and top not in allowed):
            yield f"{path.name}:{line} imports {name}"


def test_imports_point_down():
    assert [wrong for path in source_files() for wrong in wrong_imports(path)] == []


@pytest.mark.parametrize(
    ("folder", "line"),
    [
        ("features", "from identify.weigh import weigh"),
        ("features", "import sample_images.simulate"),
        ("sample_images", "from features.marks import Marks"),
        ("identify", "import app"),
        ("features", "from . import strip"),
    ],
)
def test_the_guard_sees_an_import_that_points_up(tmp_path, folder, line):
    path = tmp_path / "wrong.py"
    path.write_text(f"def late():\n    {line}\n", encoding="utf-8")
    assert list(wrong_imports(path, folder))


def test_only_screens_and_the_app_import_streamlit():
    found = {
        path.relative_to(ROOT).as_posix()
        for path in source_files()
        if any(name.split(".")[0] == "streamlit" for name, _ in imported(path))
    }
    assert {name for name in found if not name.startswith("identify/screens/")} <= {"app.py"}


def own_files(*endings):
    for path in sorted(ROOT.rglob("*")):
        if path.suffix in endings and not SKIPPED & set(path.relative_to(ROOT).parts):
            yield path


def test_no_file_is_longer_than_three_hundred_lines():
    long = {
        path.relative_to(ROOT).as_posix(): lines
        for path in own_files(".py", ".js", ".css")
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > LONGEST
    }
    assert long == {}


def test_no_file_is_named_after_nothing():
    vague = {"utils", "util", "helpers", "common", "misc", "manager"}
    assert [path.name for path in own_files(".py") if path.stem in vague] == []
