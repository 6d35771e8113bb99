"""The wheel holds everything that the program needs where its sources are out of reach, and nothing else."""

import os
import shutil
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGES = ("pipeline", "plugins", "schemas", "sample_jobs")
NOT_SHIPPED = shutil.ignore_patterns("__pycache__", "out", "ledger.sqlite*", "*.so", "*.pyd")
COMPILED = {"plugins/group/kernel.abi3.so", "plugins/group/kernel.pyd"}


@pytest.fixture(name="sources", scope="module")
def _sources(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What a clone holds of the packages, with the traces of a run of the sample shop beside it."""
    sources = tmp_path_factory.mktemp("sources")
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, sources)
    for name in PACKAGES:
        shutil.copytree(ROOT / name, sources / name, ignore=NOT_SHIPPED)
    (sources / "tests").mkdir()
    (sources / "tests" / "__init__.py").touch()
    return sources


@pytest.fixture(name="wheel", scope="module")
def _wheel(sources: Path, tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    """The wheel, built by the setuptools of this environment: no network."""
    left = sources / "sample_jobs" / "out" / "2026-W49" / "orders"
    left.mkdir(parents=True)
    (left / "invoice.pdf").touch()
    (sources / "sample_jobs" / "ledger.sqlite").touch()
    target = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(target), str(sources)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    (built,) = target.glob("*.whl")
    return zipfile.ZipFile(built)


def test_it_holds_the_packages_and_nothing_else(sources: Path, wheel: zipfile.ZipFile) -> None:
    """A file that is forgotten is missed only where the sources are not. No tests, nothing that a run left."""
    expected = {
        path.relative_to(ROOT).as_posix()
        for name in PACKAGES
        for path in (ROOT / name).rglob("*")
        if path.is_file()
        and "__pycache__" not in path.parts
        and path.relative_to(ROOT).parts[:2] != ("sample_jobs", "out")
        and not path.name.startswith("ledger.sqlite")
        and path.suffix not in (".c", ".h", ".so", ".pyd")
    }
    held = {name for name in wheel.namelist() if ".dist-info/" not in name}
    assert held - COMPILED == expected


def test_it_holds_the_compiled_loops(wheel: zipfile.ZipFile) -> None:
    """As far as there is a compiler."""
    if not COMPILED & set(wheel.namelist()):
        if os.environ.get("PEELWRIGHT_KERNEL") == "required":
            pytest.fail("plugins/group/loops was not compiled")
        pytest.skip("there is no compiler")


@pytest.mark.parametrize(
    "name",
    [
        "schemas/job.schema.json",
        "plugins/documents/paper/vocabulary.py",
        "sample_jobs/shop.yaml",
        "sample_jobs/2026-W49/week.yaml",
        "sample_jobs/art/capstan-crumb/loaf-mark.svg",
        "sample_jobs/art/lantern-tide/festival-back.pdf",
        "sample_jobs/art/nettle-rock/puffin-tote.png",
        "sample_jobs/shop_plugins/island_ferry.py",
    ],
)
def test_what_new_shop_and_the_journey_read_is_there(wheel: zipfile.ZipFile, name: str) -> None:
    """Named apart from the sources, so that a folder that was moved is noticed."""
    assert name in wheel.namelist()


@pytest.mark.parametrize("ending", [".j2", ".css", ".ttf", ".schema.json"])
def test_every_kind_of_data_is_there(wheel: zipfile.ZipFile, ending: str) -> None:
    """Templates, the page's style, fonts, schemas."""
    assert any(name.endswith(ending) for name in wheel.namelist())


def test_licences_are_there(wheel: zipfile.ZipFile) -> None:
    """The program's own, and that of the fonts: both ask to be kept with what they cover."""
    names = wheel.namelist()
    assert any(name.endswith(".dist-info/licenses/LICENSE") for name in names)
    assert any("plugins/documents/fonts/" in name and name.endswith(".txt") for name in names)


def test_its_metadata(wheel: zipfile.ZipFile) -> None:
    """The command, the Python that is asked for and every dependency are declared."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    (folder,) = {name.partition("/")[0] for name in wheel.namelist() if ".dist-info/" in name}
    metadata = wheel.read(f"{folder}/METADATA").decode()
    assert "peelwright = pipeline.cli:main" in wheel.read(f"{folder}/entry_points.txt").decode()
    assert f"Requires-Python: {project['requires-python']}" in metadata
    needed = [
        line for line in metadata.splitlines() if line.startswith("Requires-Dist:") and "extra ==" not in line
    ]
    assert len(needed) == len(project["dependencies"])
